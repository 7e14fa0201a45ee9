"""A walk over every office and outside page of a firm at work: no fault a machine can find, nothing too wide."""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from tests.browser.story_world import Story
from tests.browser.test_site_access import RULES
from tests.browser.walk import list_addresses, make_working_story
from tests.factories import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NARROW = {"width": 320, "height": 640}
BREAKS_WORDS = """[...document.querySelectorAll("table.lines :is(th, td)")]
    .some((cell) => getComputedStyle(cell).overflowWrap === "anywhere")"""
"""Such a cell shrinks to single letters instead of letting its table scroll."""


@pytest.fixture
def story() -> Story:
    return make_working_story()


@pytest.fixture
def narrow_page(browser: Browser, live_server: LiveServer, story: Story) -> Iterator[Page]:
    """Signed in to the office, 320 px wide, with axe let in past the content policy."""
    context = browser.new_context(base_url=live_server.url, bypass_csp=True, viewport=NARROW)
    page = context.new_page()
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("nell")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_role("heading", name="This week").wait_for()
    yield page
    context.close()


def test_no_page_has_a_fault_or_is_too_wide_when_a_firm_is_at_work(narrow_page, story):
    troubles = []
    for address in list_addresses(story):
        answer = narrow_page.goto(address)
        troubles += [f"{address}: {answer.status}"] if answer.status != 200 else []
        width = narrow_page.evaluate("document.documentElement.scrollWidth")
        troubles += [f"{address}: {width} px wide"] if width > NARROW["width"] else []
        troubles += [f"{address}: words break in a table"] if narrow_page.evaluate(BREAKS_WORDS) else []
        found = Axe().run(narrow_page, options=RULES).response["violations"]
        troubles += [f"{address}: {fault['id']} {node['html'][:120]}" for fault in found for node in fault["nodes"]]
    assert troubles == []

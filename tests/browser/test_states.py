"""Every page in every state, as a browser shows it: no fault that axe finds, nothing the content policy refuses."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import note_troubles
from tests.browser.test_site_access import RULES
from tests.published.asvs.answers import Answer
from tests.web.page_states import States, collect_states, leave_out_alike

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NARROW = {"width": 320, "height": 640}
SHOWN = "/shown/"
WIDTH = "document.documentElement.scrollWidth"


@pytest.fixture
def narrow_page(browser: Browser, live_server: LiveServer) -> Iterator[Page]:
    """320 px wide; the content policy holds here as it does for everyone."""
    context = browser.new_context(base_url=live_server.url, viewport=NARROW, service_workers="block")
    yield context.new_page()
    context.close()


def show(page: Page, states: States) -> Iterator[tuple[str, int]]:
    """Each page as it was answered, with its own headers; styles and scripts come from the server."""
    def answer(route: Route) -> None:
        shown = states[names[int(route.request.url.rsplit("/", 1)[1])]]
        headers = {name: value for name, value in shown.headers.items() if name != "Content-Length"}
        route.fulfill(status=200, headers=headers, body=shown.body)

    names = list(states)
    page.route(f"**{SHOWN}*", answer)
    for number, name in enumerate(names):
        page.goto(f"{SHOWN}{number}")
        yield name, page.evaluate(WIDTH)


def find_troubles(page: Page, states: States) -> list[str]:
    troubles, refused = [], note_troubles(page)
    for name, width in show(page, states):
        troubles += [f"{name}: {width} px wide"] if width > NARROW["width"] else []
        troubles += [f"{name}: {words}" for words in refused]
        found = Axe().run(page, options=RULES).response["violations"]
        troubles += [f"{name}: {fault['id']} {node['html'][:120]}" for fault in found for node in fault["nodes"]]
        refused.clear()  # with what axe itself provokes
    return troubles


def test_no_page_has_a_fault_when_it_is_empty_wrong_or_refused(narrow_page: Page, tmp_path: Path) -> None:
    assert find_troubles(narrow_page, leave_out_alike(collect_states(tmp_path))) == []


def test_faults_are_found_when_a_page_has_them(narrow_page: Page) -> None:
    body = b"<!doctype html><html lang='en'><title>x</title><main><h1>x</h1><img src='/static/jobs/icon.svg'><script>1</script>"
    headers = {"Content-Type": "text/html", "Content-Security-Policy": "script-src 'self'"}
    troubles = " ".join(find_troubles(narrow_page, {"bad": Answer(200, headers, body)}))
    assert "image-alt" in troubles
    assert "Content Security Policy" in troubles

"""Every page of site, sign-in and crew against axe's WCAG 2.2 AA rules."""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from tests.browser.site_world import World, make_world, sign_in
from tests.factories import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}


@pytest.fixture
def world(transactional_db: None) -> World:
    return make_world()


@pytest.fixture
def page(browser: Browser, live_server: LiveServer) -> Iterator[Page]:
    """A tab in which axe may run: the content policy would refuse it."""
    context = browser.new_context(base_url=live_server.url, bypass_csp=True, viewport={"width": 390, "height": 844})
    yield context.new_page()
    context.close()


def faults(page: Page) -> list[str]:
    page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true; })")
    found = Axe().run(page, options=RULES).response["violations"]
    return [f"{page.url} {fault['id']}: {node['html']}" for fault in found for node in fault["nodes"]]


def test_site_pages_have_no_known_fault(page: Page, world: World) -> None:
    sign_in(page, world)
    found = faults(page)
    job, room = world.room.job_id, world.room.pk
    for name, pk in (("site_job", job), ("site_cuts", job), ("site_room", room), ("room_sheet", room)):
        page.goto(reverse(name, args=[pk]))
        found += faults(page)
    page.goto(f"{reverse('joists')}?what=hole&span_mm=4000&depth_mm=200&size_mm=25&place_mm=1200")
    found += faults(page)
    page.goto(reverse("offline"))

    assert found + faults(page) == []


def test_sign_in_pages_have_no_known_fault(page: Page, world: World) -> None:
    page.goto(reverse("sign_in"))
    found = faults(page)
    page.goto(reverse("sign_in_link"))

    assert found + faults(page) == []


def test_crew_pages_have_no_known_fault(page: Page, world: World) -> None:
    page.goto(reverse("sign_in"))
    page.get_by_label("Name").fill(world.office.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    found = []
    for address in (reverse("crew"), reverse("add_person"), reverse("password"), reverse("person", args=[world.person.pk])):
        page.goto(address)
        found += faults(page)
    page.get_by_role("button", name="Sign in a phone").click()
    page.wait_for_url("**/sign-in/")

    assert found + faults(page) == []

"""Reading a label with the phone's camera, under the product's own content policy."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from jobs.actions.locations import ensure_locations
from jobs.models import Drum, Item
from tests.browser.conftest import FLAGS, note_troubles
from tests.browser.site_world import World, make_world, sign_in
from tests.factories import NOW, make_item
from tests.programs import find_program

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CAMERA = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
"""Chromium's own test picture in place of a camera, and a yes where a person is asked."""

READS = """window.BarcodeDetector = class {
  async detect(view) { return view.videoWidth && view.currentTime > 0 ? [{ rawValue: %r }] : []; }
};"""
"""Chromium on Linux reads no codes. This one reads a label as soon as pictures come from the camera, and not before."""


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    ensure_locations(firm=world.firm)
    cable = make_item(world.firm, "cable", Item.Unit.METRE, name="Cable 2.5")
    Drum.objects.create(firm=world.firm, item=cable, label="D7", full_metres=100, made_at=NOW)
    return world


@pytest.fixture
def camera_phone(browser: Browser, live_server: LiveServer, world: World) -> Iterator[Page]:
    own = browser.browser_type.launch(executable_path=find_program("chromium"), args=FLAGS + CAMERA)
    page = own.new_context(base_url=live_server.url, locale="en-GB").new_page()
    page.set_default_timeout(15_000)
    troubles = note_troubles(page)
    sign_in(page, world)
    yield page
    own.close()
    assert troubles == []


def test_label_is_looked_up_when_the_camera_reads_it(camera_phone: Page, live_server: LiveServer) -> None:
    drum = Drum.objects.get()
    camera_phone.add_init_script(READS % f"{live_server.url}/stores/label/drum-{drum.pk}/")
    camera_phone.goto("/stores/scan/")

    camera_phone.get_by_role("button", name="Use the camera").click()

    camera_phone.wait_for_url(f"**/label/drum-{drum.pk}/")
    expect(camera_phone.get_by_role("heading", level=1)).to_contain_text("D7")


def test_camera_shows_its_picture_and_stops_when_asked(camera_phone: Page) -> None:
    camera_phone.add_init_script("window.BarcodeDetector = class { async detect() { return []; } };")
    camera_phone.goto("/stores/scan/")
    camera_phone.get_by_role("button", name="Use the camera").click()
    view = camera_phone.locator("video")
    expect(view).to_be_visible()
    camera_phone.wait_for_function("document.querySelector('video').videoWidth > 0")

    camera_phone.get_by_role("button", name="Stop the camera").click()

    expect(view).to_be_hidden()
    assert camera_phone.evaluate("document.querySelector('video').srcObject.active") is False


def test_label_is_typed_when_the_browser_reads_no_codes(camera_phone: Page) -> None:
    camera_phone.goto("/stores/scan/")

    expect(camera_phone.get_by_role("button", name="Use the camera")).to_be_hidden()
    camera_phone.get_by_role("textbox").fill("D7")
    camera_phone.get_by_role("button", name="Find").click()

    camera_phone.wait_for_url("**/label/drum-*/")

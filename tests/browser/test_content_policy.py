import pytest
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import note_troubles

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
INJECT = """() => {
  const script = document.createElement("script");
  script.textContent = "document.title = 'taken over'";
  document.body.append(script);
}"""


def test_sign_in_breaks_no_policy_when_it_is_shown(page: Page) -> None:
    page.goto("/sign-in/")
    assert page.locator("form").count() >= 1


def test_injected_script_does_nothing_when_a_page_is_open(browser: Browser, live_server: LiveServer) -> None:
    page = browser.new_page(base_url=live_server.url)
    troubles = note_troubles(page)
    page.goto("/sign-in/")
    page.evaluate(INJECT)
    assert page.title() != "taken over"
    page.close()
    assert len(troubles) == 1

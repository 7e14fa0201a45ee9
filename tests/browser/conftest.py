"""A real Chromium on a live server, for the stories that only a browser can tell."""

import os
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests.browser.servers import KillableServer, killable_server
from tests.browser.site_world import World, sign_in, wait_until_kept
from tests.programs import find_program

# Playwright keeps an event loop in the test's thread; the ORM is used there all the same, and safely.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
expect.set_options(timeout=15_000)

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
"""No sandbox, since root may run the tests; no calls to anywhere but the live server."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_program("chromium"), args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def page(browser: Browser, live_server: LiveServer) -> Iterator[Page]:
    """An empty tab; at the end no script may have failed and the content policy may have refused nothing."""
    context = browser.new_context(base_url=live_server.url, locale="en-GB", timezone_id="Europe/London")
    page = context.new_page()
    page.set_default_timeout(15_000)
    troubles = note_troubles(page)
    yield page
    context.close()
    assert troubles == []


def note_troubles(page: Page) -> list[str]:
    """Script errors and refusals of the content policy, as they come."""
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda line: troubles.append(line.text) if "Content Security Policy" in line.text else None)
    return troubles


@pytest.fixture(scope="session")
def long_server(django_db_setup: None, tmp_path_factory: pytest.TempPathFactory) -> Iterator[KillableServer]:
    with killable_server(tmp_path_factory.mktemp("server")) as server:
        yield server


@pytest.fixture
def server(world: World, long_server: KillableServer) -> KillableServer:
    long_server.start()
    return long_server


@pytest.fixture
def context(browser: Browser, server: KillableServer) -> Iterator[BrowserContext]:
    context = browser.new_context(base_url=server.url, locale="en-GB", timezone_id="Europe/London")
    context.set_default_timeout(15_000)
    yield context
    context.close()


@pytest.fixture
def phone(context: BrowserContext, world: World) -> Iterator[Page]:
    page = context.new_page()
    troubles = note_troubles(page)
    sign_in(page, world)
    wait_until_kept(page)
    yield page
    assert troubles == []

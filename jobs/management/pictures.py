"""The README's pictures: one for each story, taken in a browser from the demo as anybody sees it."""

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page

from jobs.management.demo.plan import Addresses

COLOURS = 64
"""Flat pages need no more, and a picture stays well under 100 kB."""
WIDE, NARROW = {"width": 1280, "height": 1100}, {"width": 390, "height": 900}


@dataclass(frozen=True)
class Picture:
    """What is shown, and how it is saved."""

    name: str
    screen: dict[str, int]


WEEK, ROOM, DATES = Picture("week", WIDE), Picture("room", NARROW), Picture("dates", NARROW)


def take_pictures(browser: Browser, site: str, addresses: Addresses, password: str, folder: Path) -> list[Path]:
    """The contractor's week, a room on Ifan's phone, the plasterer's dates; the files they were saved as."""
    folder.mkdir(parents=True, exist_ok=True)
    return [
        _take(browser, WEEK, folder, lambda page: _open_week(page, site, addresses, password)),
        _take(browser, ROOM, folder, lambda page: _open_room(page, site, addresses)),
        _take(browser, DATES, folder, lambda page: page.goto(site + addresses.trade)),
    ]


def _take(browser: Browser, picture: Picture, folder: Path, open_page) -> Path:
    context = browser.new_context(viewport=picture.screen, locale="en-GB", timezone_id="Europe/London")
    page = context.new_page()
    open_page(page)
    page.wait_for_load_state("networkidle")
    file = folder / f"{picture.name}.png"
    file.write_bytes(shrink(page.screenshot()))
    context.close()
    return file


def _open_week(page: Page, site: str, addresses: Addresses, password: str) -> None:
    page.goto(site + addresses.office)
    page.get_by_label("Name").fill(addresses.username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_role("link", name="Week after").click()
    page.wait_for_url("**/?from=*")


def _open_room(page: Page, site: str, addresses: Addresses) -> None:
    page.goto(site + addresses.phone)
    page.get_by_role("button", name="Sign in this phone").click()
    page.wait_for_url("**/site/")
    room = page.locator("a[href^='/site/rooms/']").filter(has_not_text="done").first  # folded away on a day off
    page.goto(site + room.get_attribute("href"))


def shrink(png: bytes) -> bytes:
    """The same picture with few colours."""
    out = BytesIO()
    Image.open(BytesIO(png)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()

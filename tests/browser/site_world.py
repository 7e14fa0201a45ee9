"""A room with lines, the person booked in it, and a phone signed in as that person."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from jobs.actions.devices import make_sign_in
from jobs.models import Booking, Firm, Person, Plan, Room, RoomTask, User
from tests.factories import (
    make_area,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_point,
    make_point_kind,
    make_room,
)

LINES = ("Twin socket × 6", "One-way switch × 2", "Ceiling light × 2", "Dead test done")


@dataclass(frozen=True)
class World:
    firm: Firm
    office: User
    person: Person
    room: Room

    def share(self, text: str) -> float:
        return float(RoomTask.objects.get(room=self.room, text=text).done_share)

    def done_at(self, text: str) -> datetime | None:
        return RoomTask.objects.get(room=self.room, text=text).done_at


def make_world() -> World:
    firm = make_firm()
    person, area = make_person(firm, "Priya"), make_area(make_job(firm, "Mill Cottage", state="on_site"))
    package, room = make_package(area), make_room(area, "Kitchen", length_metres=4, width_metres=3)
    make_point(room, make_point_kind(firm, name="Downlight", is_ceiling=True))
    for position, text in enumerate(LINES):
        RoomTask.objects.create(
            firm=firm, package=package, room=room, code=f"line{position}", text=text, labour_hours=2, position=position
        )
    Booking.objects.create(
        firm=firm, plan=make_plan(firm, Plan.State.ISSUED), person=person, package=package,
        on=timezone.localdate(), half="am", hours=4,
    )
    return World(firm, make_office(firm), person, room)


def sign_in(page: Page, world: World, person: Person | None = None) -> None:
    made = make_sign_in(person=person or world.person, by=world.office, now=timezone.now())
    page.goto("/sign-in/?next=/site/")
    page.get_by_label("Code from the office").fill(made.code)
    page.get_by_role("button", name="Sign in this phone").click()
    page.wait_for_url("**/site/")


def open_room(page: Page, name: str = "Kitchen") -> None:
    page.get_by_role("link", name=name).first.click()
    page.wait_for_url("**/site/rooms/**")


def press(page: Page, text: str) -> None:
    line(page, text).click()


def line(page: Page, text: str) -> Locator:
    return page.get_by_role("button", name=text)


def wait_until_kept(page: Page) -> None:
    """Until the worker holds the pages for no signal."""
    expect(page.locator("#kept")).to_contain_text("kept for no signal", timeout=15_000)


def status(page: Page) -> Locator:
    return page.locator("#sending")

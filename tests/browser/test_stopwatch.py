"""Start and stop for hours, on a phone that has no signal all day."""

from decimal import Decimal

import pytest
from playwright.sync_api import Locator, Page, expect

from jobs.models import Booking, RoomTask, WorkedHours
from tests.browser.servers import KillableServer
from tests.browser.site_world import World, make_world, status
from tests.factories import make_package

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DAY, NEXT_DAY = "2027-01-12", "2027-01-13"


@pytest.fixture
def world(transactional_db: None) -> World:
    return make_world()


def press_at(phone: Page, moment: str, verb: str) -> None:
    phone.clock.set_fixed_time(moment)
    phone.get_by_role("button", name=f"{verb} the clock").first.click()


def words(phone: Page) -> Locator:
    return phone.locator("[data-stopwatch] [data-words]").first


def hours(phone: Page) -> Locator:
    return phone.get_by_label("Hours", exact=True).first


def test_time_between_start_and_stop_without_signal_is_proposed_to_the_quarter_and_sent_by_hand(
    phone: Page, server: KillableServer, world: World
) -> None:
    server.kill()
    press_at(phone, f"{DAY}T08:03:00", "Start")
    phone.reload()
    expect(words(phone)).to_have_text("Running since 08:03")

    press_at(phone, f"{DAY}T12:20:00", "Stop")

    expect(hours(phone)).to_have_value("4.25")
    expect(words(phone)).to_contain_text("08:03 to 12:20: 4.25 h.")
    phone.get_by_role("button", name="Keep my hours").first.click()
    expect(status(phone)).to_contain_text("1 not sent")
    expect(words(phone)).to_have_text("")
    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")
    expect(status(phone)).to_have_text("All sent")
    assert WorkedHours.objects.get().hours == Decimal("4.25")


def test_afternoon_is_added_to_the_morning_when_the_clock_is_started_again(phone: Page, world: World) -> None:
    press_at(phone, f"{DAY}T08:00:00", "Start")
    press_at(phone, f"{DAY}T12:00:00", "Stop")
    press_at(phone, f"{DAY}T12:30:00", "Start")
    press_at(phone, f"{DAY}T16:00:00", "Stop")

    expect(hours(phone)).to_have_value("7.5")
    expect(words(phone)).to_contain_text("after 4 h before")


def test_nothing_is_proposed_when_the_clock_ran_over_night(phone: Page, world: World) -> None:
    press_at(phone, f"{DAY}T08:00:00", "Start")

    press_at(phone, f"{NEXT_DAY}T07:45:00", "Stop")

    expect(hours(phone)).to_have_value("")
    expect(words(phone)).to_contain_text("is not all today")


def test_proposal_of_the_day_before_is_not_put_into_today(phone: Page, world: World) -> None:
    press_at(phone, f"{DAY}T08:00:00", "Start")
    press_at(phone, f"{DAY}T16:00:00", "Stop")
    phone.clock.set_fixed_time(f"{NEXT_DAY}T07:45:00")

    phone.reload()

    expect(words(phone)).to_contain_text("is not all today")
    expect(hours(phone)).to_have_value("")


def test_clock_of_another_package_stops_and_says_so_when_one_is_started(phone: Page, world: World) -> None:
    area = world.room.area
    second = make_package(area, "second_fix")
    RoomTask.objects.create(firm=world.firm, package=second, room=world.room, code="plate", text="Plate", labour_hours=1)
    first = Booking.objects.get()
    Booking.objects.create(
        firm=world.firm, plan=first.plan, person=world.person, package=second, on=first.on, half="pm", hours=4
    )
    phone.reload()
    press_at(phone, f"{DAY}T08:00:00", "Start")

    phone.clock.set_fixed_time(f"{DAY}T10:00:00")
    phone.get_by_role("button", name="Start the clock").last.click()

    expect(phone.locator("[data-stopwatch] [data-words]").last).to_contain_text("It stopped the clock of First fix")
    expect(hours(phone)).to_have_value("2")

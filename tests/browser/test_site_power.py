"""A tick for power pressed where there is no signal is warned of at once, refused in words later, and taken after readings."""

import pytest
from playwright.sync_api import Page, expect

from jobs.models import Booking, Point, Reading, RoomTask
from tests.browser.servers import KillableServer
from tests.browser.site_world import World, line, make_world, open_room, press, status, wait_until_kept
from tests.factories import make_circuit, make_instrument, make_package

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
POWER = "Dead tests recorded; then power put on"


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    world.person.may_test = True
    world.person.save()
    Point.objects.update(circuit=make_circuit(world.room.job, "R1", "ring", name="Sockets"))
    make_instrument(world.firm, "Blue tester")
    RoomTask.objects.all().update(done_share=1)
    package = make_package(world.room.area, "test")
    RoomTask.objects.create(
        firm=world.firm, package=package, room=world.room, code="check:T9", text=POWER, labour_hours=1, is_hold_point=True
    )
    Booking.objects.update(package=package)
    return world


def test_tick_for_power_is_refused_in_words_when_readings_are_missing(
    phone: Page, server: KillableServer, world: World
) -> None:
    open_room(phone)
    wait_until_kept(phone)
    expect(phone.locator("[data-held]")).to_contain_text("Held, power must not go on yet: Supply: Ze")
    server.kill()
    press(phone, POWER)
    expect(line(phone, POWER)).to_contain_text("refused while readings before power are missing or out")
    phone.reload()
    expect(line(phone, POWER)).to_contain_text("refused while readings before power are missing or out")

    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(phone.locator("#outbox-notes")).to_contain_text("Power is held. Supply: Ze", timeout=15_000)
    assert world.share(POWER) == 0


def test_sockets_and_supply_entered_without_signal_arrive_with_their_verdict(
    phone: Page, server: KillableServer, world: World
) -> None:
    phone.goto(f"/site/jobs/{world.room.job_id}/readings/end/")
    wait_until_kept(phone)
    server.kill()
    phone.reload()
    phone.locator("#supply summary").first.click()
    phone.locator("#instrument-supply").select_option(index=1)
    phone.locator("#ze-supply").fill("0,31")
    phone.get_by_role("button", name="Keep the readings of the supply").click()
    phone.get_by_text("R1 Sockets").click()
    phone.get_by_text("At each socket, ends cross-connected").click()
    phone.locator("input[name^=cross_live]").first.fill("OL")
    phone.get_by_role("button", name="Keep the sockets of R1").click()
    expect(phone.locator("[data-recorded] .recorded")).to_contain_text(["Supply: Ze 0,31", "L–N OL"])

    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(status(phone)).to_have_text("All sent", timeout=15_000)
    expect(phone.locator(".told", has_text="perhaps a conductor left out at this socket")).to_be_visible()
    assert sorted(Reading.objects.values_list("measure", "text")) == [("cross_live", "OL"), ("ze", "0,31")]

"""Readings entered where there is no signal arrive when there is some, and say what they mean."""

import pytest
from playwright.sync_api import Page, expect

from jobs.models import Point, Reading
from tests.browser.servers import KillableServer
from tests.browser.site_world import World, make_world, status, wait_until_kept
from tests.factories import make_circuit, make_instrument

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    world.person.may_test = True
    world.person.save()
    Point.objects.update(circuit=make_circuit(world.room.job, "L1", "lighting", name="Lights"))
    make_instrument(world.firm, "Blue tester")
    make_instrument(world.firm, "Red tester")
    return world


def test_readings_entered_without_signal_arrive_with_their_verdict_when_there_is_some(
    phone: Page, server: KillableServer, world: World
) -> None:
    phone.get_by_role("link", name="Dead tests").first.click()
    phone.wait_for_url("**/readings/first_fix/")
    wait_until_kept(phone)
    server.kill()
    phone.reload()
    phone.get_by_text("L1 Lights").click()
    instrument = phone.get_by_label("Instrument", exact=True)
    instrument.select_option(label=next(text for text in instrument.locator("option").all_inner_texts() if "Red" in text))
    phone.get_by_label("R1 + R2 at the far end").fill("0,35")
    phone.get_by_label("Insulation, live to earth").fill("0.4")
    phone.get_by_label("Polarity").select_option("ok")
    phone.get_by_role("button", name="Keep the readings of L1").click()
    expect(phone.locator("[data-recorded] .recorded")).to_contain_text("L1: R1+R2 0,35, IR live-earth 0.4, Polarity ok not sent")
    expect(instrument).not_to_have_value("")  # chosen for the day, though the form was emptied

    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(status(phone)).to_have_text("All sent", timeout=15_000)
    expect(phone.locator(".told")).to_contain_text("Perhaps a cable trapped or nailed")
    assert sorted(Reading.objects.values_list("text", "instrument__name")) == [
        ("0,35", "Red tester"), ("0.4", "Red tester"), ("ok", "Red tester"),
    ]

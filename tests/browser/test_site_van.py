"""The van list, ticked in a lock-up without signal."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.actions.locations import ensure_locations, firm_place
from jobs.actions.stock import receive
from jobs.models import Location, MaterialNeed, VanTick, WorkPackage
from jobs.queries.balances import load_balances
from tests.browser.servers import KillableServer
from tests.browser.site_world import World, make_world, status
from tests.factories import make_item

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def world(transactional_db: None) -> World:
    """The person is booked today and needs forty clips, which lie in the unit."""
    world = make_world()
    clip = make_item(world.firm, "clip", name="Cable clip")
    ensure_locations(firm=world.firm)
    unit = firm_place(world.firm, Location.Kind.UNIT)
    receive(
        item=clip, pieces=Decimal(100), to=unit, op_id=uuid4(), by=world.office, at=timezone.now()
    )
    MaterialNeed.objects.create(firm=world.firm, package=WorkPackage.objects.get(), item=clip, quantity=40)
    return world


def on_the_van(world: World) -> int:
    balances, van = load_balances(world.firm), Location.objects.get(person=world.person)
    return int(sum(quantity for spot, quantity in balances.quantities.items() if spot.place == van.pk))


def test_van_list_ticked_without_signal_waits_and_arrives_in_order(
    phone: Page, server: KillableServer, world: World
) -> None:
    server.kill()
    phone.get_by_role("link", name="What goes on the van").click()
    expect(phone.get_by_text("40 Cable clip")).to_be_visible()
    for name in ("Put on Cable clip", "Take off Cable clip", "Put on Cable clip"):
        phone.get_by_role("button", name=name).click()
    expect(status(phone)).to_contain_text("3 not sent")

    phone.reload()
    expect(phone.locator("[data-van-state]")).to_have_text("on the van, not sent yet")
    expect(phone.get_by_role("button", name="Put on Cable clip")).to_be_hidden()
    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")

    expect(status(phone)).to_have_text("All sent")
    expect(phone.locator("[data-van-state]")).to_have_text("on the van, sent")
    assert (on_the_van(world), VanTick.objects.count()) == (40, 3)
    phone.reload()
    expect(phone.locator("[data-van-state]")).to_contain_text("on the van: Priya")


FALLING_IDS = """
let number = 16 ** 12;
crypto.randomUUID = () => "6f9619ff-8b86-4d01-b42d-" + (number -= 1).toString(16).padStart(12, "0");
"""


def test_what_was_done_last_stands_when_its_id_sorts_before_the_first(phone: Page) -> None:
    phone.add_init_script(FALLING_IDS)
    phone.get_by_role("link", name="What goes on the van").click()
    for name in ("Put on Cable clip", "Take off Cable clip"):
        phone.get_by_role("button", name=name).click()
    expect(status(phone)).to_have_text("All sent")
    expect(phone.locator("[data-van-state]")).to_have_text("taken off, sent")
    expect(phone.get_by_role("button", name="Put on Cable clip")).to_be_visible()

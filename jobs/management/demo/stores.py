"""The demo's unit: what it holds, one order that comes in time and one that slips."""

from collections import defaultdict
from decimal import ROUND_UP, Decimal
from itertools import count
from uuid import NAMESPACE_URL, uuid5

from jobs.actions.drums import NewDrum, receive_drums
from jobs.actions.locations import ensure_locations, firm_place, van_of
from jobs.actions.orders import Wanted, expect_order, place_order
from jobs.actions.stock import move, receive
from jobs.management.demo.story import Story
from jobs.models import Item, Location, MaterialNeed, Order, Supplier

STOCKED_STAGES = ("first_fix", "second_fix")


def fill(story: Story) -> None:
    """Weeks ago the unit was filled for all three houses, but for what is on order and what somebody forgot."""
    ensure_locations(firm=story.firm)
    wholesaler = Supplier.objects.create(firm=story.firm, **story.tale["supplier"])
    Item.objects.filter(firm=story.firm).update(supplier=wholesaler)
    for code, (months, needs) in story.tale["warranties"].items():
        Item.objects.filter(firm=story.firm, code=code).update(warranty_months=months, warranty_needs=needs)
    labels = count(101)
    for item, quantity in _wanted(story).items():
        if quantity > 0:
            _receive(story, item, quantity, labels)
    _load_vans(story)
    for row in story.tale["orders"]:
        _place_order(story, wholesaler, row)


def delay_delivery(story: Story) -> None:
    """The wholesaler phones: it comes later than promised."""
    late = story.tale["late_order"]
    order = Order.objects.get(firm=story.firm, reference=late["reference"])
    expected_on = story.days.ahead(late["comes_in_working_days"])
    expect_order(order=order, expected_on=expected_on, today=story.days.today, by=story.office)


def _wanted(story: Story) -> dict[Item, Decimal]:
    """What the three houses take, with what the firm always keeps, less what it is short of or has on order."""
    wanted: dict[Item, Decimal] = defaultdict(Decimal)
    needs = MaterialNeed.objects.filter(firm=story.firm, package__stage__in=STOCKED_STAGES)
    for need in needs.select_related("item").order_by("item__name", "pk"):
        wanted[need.item] += need.quantity
    missing = {line["item"]: line["quantity"] for order in story.tale["orders"] for line in order["lines"]}
    missing |= story.tale["short"]
    return {
        item: quantity - Decimal(missing[item.code]) if item.code in missing else quantity + item.keep_at_least
        for item, quantity in wanted.items()
    }


def _receive(story: Story, item: Item, quantity: Decimal, labels: count) -> None:
    unit, at = firm_place(story.firm, Location.Kind.UNIT), story.days.at(story.days.ago(44), 8)
    packs = int((quantity / item.pack_size).quantize(Decimal(1), ROUND_UP))
    about = {"item": item, "to": unit, "op_id": _op_id("fill", item.code), "by": story.office, "at": at}
    if item.is_cable:
        receive_drums(drums=[NewDrum(f"D{next(labels)}", item.pack_size) for _ in range(packs)], **about)
    else:
        receive(pieces=packs * item.pack_size, **about)


def _load_vans(story: Story) -> None:
    unit, at = firm_place(story.firm, Location.Kind.UNIT), story.days.at(story.days.ago(43), 7)
    for name, pieces_of in story.tale["vans"].items():
        van = van_of(story.person(name))
        for code, pieces in pieces_of.items():
            item = Item.objects.get(firm=story.firm, code=code)
            move(
                item=item, pieces=Decimal(pieces), moved_from=unit, moved_to=van, op_id=_op_id(name, code),
                by=story.office, at=at,
            )


def _place_order(story: Story, wholesaler: Supplier, row: dict) -> None:
    lines = [Wanted(Item.objects.get(firm=story.firm, code=line["item"]), Decimal(line["quantity"])) for line in row["lines"]]
    place_order(
        supplier=wholesaler, lines=lines, placed_on=story.days.ago(row["placed_working_days_ago"]),
        promised_on=story.days.ahead(row["promised_in_working_days"]), op_id=_op_id("order", row["reference"]),
        by=story.office, reference=row["reference"],
    )


def _op_id(*words: str):
    return uuid5(NAMESPACE_URL, "demo:" + ":".join(words))

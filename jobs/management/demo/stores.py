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
    """Six weeks ago the unit was filled for everything but what the late order brings."""
    ensure_locations(firm=story.firm)
    late = {row["item"] for row in story.tale["late_order"]["lines"]}
    wholesaler = Supplier.objects.create(firm=story.firm, **story.tale["supplier"])
    Item.objects.filter(firm=story.firm).update(supplier=wholesaler)
    labels = count(101)
    for item, metres_or_pieces in _wanted(story).items():
        share = Decimal(str(story.tale["late_order"]["stocked_share"])) if item.code in late else Decimal(1)
        _receive(story, item, (metres_or_pieces * share).quantize(Decimal(1), ROUND_UP), labels)
    _load_vans(story)
    _place_order(story, wholesaler, story.tale["late_order"])
    _place_order(story, wholesaler, story.tale["other_order"])


def delay_delivery(story: Story) -> None:
    """The wholesaler phones: it comes later than promised."""
    row = story.tale["late_order"]
    order = Order.objects.get(firm=story.firm, reference=row["reference"])
    expected_on = story.days.ahead(row["comes_in_working_days"])
    expect_order(order=order, expected_on=expected_on, today=story.days.today, by=story.office)


def _wanted(story: Story) -> dict[Item, Decimal]:
    """What the three houses take of each item, with what the firm always keeps."""
    wanted: dict[Item, Decimal] = defaultdict(Decimal)
    needs = MaterialNeed.objects.filter(firm=story.firm).select_related("item").order_by("item__name", "pk")
    for need in needs.filter(package__stage__in=STOCKED_STAGES):
        wanted[need.item] += need.quantity
    return {item: quantity + item.keep_at_least for item, quantity in wanted.items()}


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

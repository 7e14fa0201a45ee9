"""The demo's prices, its supplier's closed day, orders at every stage, and a van list half ticked."""

from decimal import Decimal
from uuid import NAMESPACE_URL, UUID, uuid5

from jobs.actions.items import close_supplier
from jobs.actions.order_mail import send_order
from jobs.actions.orders import Arrived, Wanted, receive_order, write_order
from jobs.actions.prices import add_price
from jobs.actions.stores_import import import_prices, keep_list
from jobs.actions.van_ticks import put_on_van
from jobs.core.stores_file.lists import read_prices
from jobs.management.demo.story import FOLDER, Story
from jobs.models import Item, Location, Order, StoresUpload, Supplier
from jobs.queries.orders import load_order
from jobs.queries.plans import find_issued
from jobs.queries.stock import load_stores
from jobs.queries.stores_lists import load_known
from jobs.queries.van_loads import load_van_lists, next_working_day

LIST_DAYS_AGO, DEARER_DAYS_AGO = 60, 10


def price(story: Story) -> None:
    """The wholesaler's list of two months ago, and what went up since."""
    wholesaler = _wholesaler(story)
    reading = read_prices((FOLDER / "prices.csv").read_bytes(), load_known(story.firm))
    upload = keep_list(
        kind=StoresUpload.Kind.PRICES, file_name="prices.csv", reading=reading, by=story.office, now=story.now,
        supplier=wholesaler,
    )
    from_on = story.days.ago(LIST_DAYS_AGO)
    import_prices(upload=upload, rows=reading.rows, by=story.office, now=story.now, today=from_on)
    for code, pounds in story.tale["dearer"].items():
        item = _item(story, code)
        add_price(
            item=item, pence=int(Decimal(pounds) * 100), per_quantity=item.pack_size, supplier=wholesaler,
            from_on=story.days.ago(DEARER_DAYS_AGO), by=story.office, at=story.now,
        )


def order(story: Story) -> None:
    """One order came in part, one just went out by mail, one waits to be looked at; the wholesaler closes for a day."""
    closed = story.tale["closed"]
    close_supplier(
        supplier=_wholesaler(story), first_on=story.days.ahead(closed["in_working_days"]), last_on=None,
        note=closed["note"], by=story.office,
    )
    _receive_part(story)
    orders = story.tale["written_order"]
    send_order(order=_write(story, orders["sent"]), by=story.office, now=story.now)
    _write(story, orders["unsent"])


def load_vans(story: Story) -> None:
    """Of each van list for the next working day, the first half is on already."""
    stock, plan = load_stores(story.firm, find_issued(story.firm), story.now), find_issued(story.firm)
    on = next_working_day(stock)
    for van in load_van_lists(stock, plan, on):
        ready = [row for row in van.to_fetch if not row.item.is_cable]
        for row in ready[: (len(ready) + 1) // 2]:
            put_on_van(
                person=van.person, on=on, item=row.item, place=row.place, quantity=row.quantity, op_id=row.op_ids[0],
                by=story.office, at=story.now,
            )


def _receive_part(story: Story) -> None:
    part = story.tale["part_delivery"]
    shown = Order.objects.get(firm=story.firm, reference=part["reference"])
    line = next(row.line for row in load_order(shown).lines if row.line.item.code == part["item"])
    unit = Location.objects.get(firm=story.firm, kind=Location.Kind.UNIT)
    receive_order(
        order=shown, arrived=[Arrived(line, Decimal(part["pieces"]))], to=unit, op_id=_op_id("part", shown.reference),
        by=story.office, at=story.now,
    )


def _write(story: Story, row: dict) -> Order:
    return write_order(
        supplier=_wholesaler(story), today=story.days.today, promised_on=story.days.ahead(row["promised_in_working_days"]),
        lines=[Wanted(_item(story, line["item"]), Decimal(line["quantity"])) for line in row["lines"]],
        op_id=_op_id("order", row["reference"]), by=story.office, reference=row["reference"], note=row["note"],
    )


def _wholesaler(story: Story) -> Supplier:
    return Supplier.objects.get(firm=story.firm, name=story.tale["supplier"]["name"])


def _item(story: Story, code: str) -> Item:
    return Item.objects.get(firm=story.firm, code=code)


def _op_id(*words: str) -> UUID:
    return uuid5(NAMESPACE_URL, "demo:" + ":".join(words))

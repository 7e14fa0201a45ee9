"""Ordering from suppliers, and what comes on an order: in parts, late, or more than was asked for."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction

from jobs.actions.drums import NewDrum, unload
from jobs.actions.locations import firm_place
from jobs.actions.permission import Refused, require_member, require_office
from jobs.actions.stock_book import Entry, Operation, book, check_quantity, hold_items, list_booked, require_own
from jobs.core.figures import plain
from jobs.models import Item, Job, Location, Order, OrderLine, StockMove, Supplier, User
from jobs.queries.orders import LineRow, load_order


@dataclass(frozen=True)
class Wanted:
    """An item to order: pieces, or metres of cable."""

    item: Item
    quantity: Decimal


@dataclass(frozen=True)
class Arrived:
    """What came on an order line: pieces, or drums."""

    line: OrderLine
    pieces: Decimal = Decimal(0)
    drums: tuple[NewDrum, ...] = ()

    @property
    def quantity(self) -> Decimal:
        return sum((drum.metres for drum in self.drums), self.pieces)


@transaction.atomic
def place_order(
    *, supplier: Supplier, lines: Sequence[Wanted], placed_on: date, promised_on: date, op_id: uuid.UUID, by: User,
    reference: str = "", job: Job | None = None,
) -> Order:
    """Write down an order that goes to a supplier; without a reference it gets the next number."""
    return _write(
        by, lines, op_id=op_id, supplier=supplier, job=job, reference=reference, placed_on=placed_on,
        promised_on=promised_on, state=Order.State.PLACED,
    )


@transaction.atomic
def write_order(
    *, supplier: Supplier, lines: Sequence[Wanted], today: date, promised_on: date, op_id: uuid.UUID, by: User,
    reference: str = "", job: Job | None = None, note: str = "",
) -> Order:
    """Write an order that can be looked at and changed before it goes out; nothing counts on it until then."""
    return _write(
        by, lines, op_id=op_id, supplier=supplier, job=job, reference=reference, placed_on=today,
        promised_on=promised_on, state=Order.State.WRITTEN, note=note.strip(),
    )


@transaction.atomic
def edit_order(
    *, order: Order, lines: Sequence[Wanted], today: date, promised_on: date, by: User, job: Job | None = None,
    note: str = "",
) -> Order:
    """Change an order that has not gone out yet; its lines become those given."""
    require_office(by, order, job, *(line.item for line in lines))
    order = hold_written(order, by)
    _check_order(lines, today, promised_on)
    order.promised_on = order.expected_on = promised_on
    order.job, order.note = job, note.strip()
    order.save(update_fields=["promised_on", "expected_on", "job", "note"])
    order.lines.all().delete()
    _add_lines(order, lines)
    return order


@transaction.atomic
def mark_ordered(*, order: Order, placed_on: date, today: date, by: User) -> Order:
    """The order went out by phone or at the counter: from now on it is counted on."""
    require_office(by, order)
    order = hold_written(order, by)
    if placed_on > today:
        raise Refused("That day is still to come. Enter when it was ordered.", field="placed_on")
    _check_days(placed_on, order.promised_on)
    order.state, order.placed_on = Order.State.PLACED, placed_on
    order.save(update_fields=["state", "placed_on"])
    return order


@transaction.atomic
def drop_order(*, order: Order, by: User) -> None:
    """Throw away an order that never went out."""
    require_office(by, order)
    hold_written(order, by).delete()


def _write(by: User, lines: Sequence[Wanted], *, op_id: uuid.UUID, reference: str, **fields: object) -> Order:
    require_office(by, fields["supplier"], fields["job"], *(line.item for line in lines))
    if written := Order.objects.filter(firm=by.firm, op_id=op_id).first():
        return written
    _check_order(lines, fields["placed_on"], fields["promised_on"])
    order = _add_order(
        firm=by.firm, op_id=op_id, reference=reference.strip() or _next_reference(by), expected_on=fields["promised_on"],
        **fields,
    )
    _add_lines(order, lines)
    return order


def _add_lines(order: Order, lines: Sequence[Wanted]) -> None:
    OrderLine.objects.bulk_create(
        OrderLine(firm_id=order.firm_id, order=order, item=line.item, quantity=line.quantity) for line in lines
    )


@transaction.atomic
def expect_order(*, order: Order, expected_on: date, today: date, by: User) -> Order:
    """The supplier says that it comes on another day. The next plan takes it from there."""
    require_office(by, order)
    order = _hold_open(order, by)
    if expected_on < today:
        raise Refused("That day is over. Enter when it is expected now.", field="expected_on")
    order.expected_on = expected_on
    order.save(update_fields=["expected_on"])
    return order


@transaction.atomic
def cancel_order(*, order: Order, by: User) -> Order:
    """What has not come will not come; what came stays in stock."""
    require_office(by, order)
    order = _hold_open(order, by)
    order.state = Order.State.CANCELLED
    order.save(update_fields=["state"])
    return order


@transaction.atomic
def receive_order(
    *, order: Order, arrived: Sequence[Arrived], to: Location, op_id: uuid.UUID, by: User, at: datetime,
    even_if_over: bool = False, note: str = "",
) -> list[StockMove]:
    """A delivery, whole or in part. The order is closed once everything asked for has come.

    More than is still to come is refused unless somebody says so: most often the delivery was booked before.
    """
    require_member(by, order, to, *(each.line for each in arrived))
    require_own([(to, "to")])
    order = Order.objects.select_for_update().get(pk=order.pk, firm=by.firm)
    hold_items(by.firm, [each.line.item_id for each in arrived])
    if booked := list_booked(by.firm, op_id):
        return _same_delivery(booked, arrived)
    _check_arrived(order, arrived, even_if_over)
    operation = Operation(by.firm, op_id, StockMove.Reason.RECEIVE, by, at, order.job, note=note)
    moves = book(operation, [entry for each in arrived for entry in _entries(operation, each, to)])
    _close_when_complete(order)
    return moves


def _check_order(lines: Sequence[Wanted], placed_on: date, promised_on: date) -> None:
    if not lines:
        raise Refused("Choose at least one item to order.", field="lines")
    _check_days(placed_on, promised_on)
    if len({line.item.pk for line in lines}) < len(lines):
        raise Refused("An item stands in two lines. Put its quantity in one.", field="lines")
    for line in lines:
        check_quantity(line.item, line.quantity, "lines")


def _check_days(placed_on: date, promised_on: date) -> None:
    if promised_on < placed_on:
        raise Refused("It cannot come before it is ordered. Check the two days.", field="promised_on")


def _add_order(**fields: object) -> Order:
    try:
        with transaction.atomic():
            return Order.objects.create(**fields)
    except IntegrityError as taken:
        message = f"There is an order {fields['reference']} already. Give this one another reference."
        raise Refused(message, field="reference") from taken


def _next_reference(by: User) -> str:
    """O1, O2, …: the first free one after as many as there are."""
    taken = set(Order.objects.filter(firm=by.firm).values_list("reference", flat=True))
    number = len(taken) + 1
    while f"O{number}" in taken:
        number += 1
    return f"O{number}"


def hold_written(order: Order, by: User) -> Order:
    order = Order.objects.select_for_update(of=("self",)).select_related("supplier", "job").get(pk=order.pk, firm=by.firm)
    if order.state != Order.State.WRITTEN:
        raise Refused(f"Order {order} went out already, so it cannot be changed. Order what is missing in another one.")
    return order


def _hold_open(order: Order, by: User) -> Order:
    order = Order.objects.select_for_update().get(pk=order.pk, firm=by.firm)
    if order.state == Order.State.WRITTEN:
        raise Refused(f"Order {order} has not gone out yet. Send it, or throw it away.")
    if order.state != Order.State.PLACED:
        raise Refused(f"Order {order} has {order.get_state_display().lower()}, so nothing can be changed on it.")
    return order


def _check_arrived(order: Order, arrived: Sequence[Arrived], even_if_over: bool) -> None:
    if order.state == Order.State.WRITTEN:
        raise Refused(f"Order {order} has not gone out yet. Send it, or say that it was ordered by phone.")
    if order.state == Order.State.CANCELLED:
        raise Refused(f"Order {order} was cancelled. Receive the goods without an order, or order again.")
    rows = {row.line.pk: row for row in load_order(order).lines}
    if any(each.line.pk not in rows for each in arrived):
        raise Refused("That line belongs to another order. Reload the page.")
    if not any(each.quantity > 0 for each in arrived):
        raise Refused("Enter what came, on at least one line.", field="lines")
    for each in arrived:
        _check_line(rows[each.line.pk], each, even_if_over)


def _check_line(row: LineRow, arrived: Arrived, even_if_over: bool) -> None:
    item = row.line.item
    if arrived.pieces:
        check_quantity(item, arrived.pieces, f"line-{row.line.pk}")
    if arrived.pieces and item.is_cable:
        raise Refused(f"{item} comes on drums. Enter each drum's label and metres.", field=f"line-{row.line.pk}")
    if arrived.quantity > row.to_come and not even_if_over:
        raise Refused(
            f"{item}: {plain(row.came)} of {plain(row.line.quantity)} came before, so only "
            f"{plain(row.to_come)} are still to come. If more was delivered than ordered, say so below.",
            field=f"line-{row.line.pk}",
        )


def _entries(operation: Operation, arrived: Arrived, to: Location) -> list[Entry]:
    item, source = arrived.line.item, firm_place(operation.firm, Location.Kind.SUPPLIER)
    if item.is_cable:
        return unload(operation, item, arrived.drums, source, to, arrived.line) if arrived.drums else []
    return [Entry(item, arrived.pieces, source, to, order_line=arrived.line)]


def _same_delivery(booked: list[StockMove], arrived: Sequence[Arrived]) -> list[StockMove]:
    before: dict[int, Decimal] = {}
    for move in booked:
        before[move.order_line_id] = before.get(move.order_line_id, Decimal(0)) + move.quantity
    if before != {each.line.pk: each.quantity for each in arrived if each.quantity}:
        raise Refused("This delivery was saved once already, with other figures. Open the order afresh.")
    return booked


def _close_when_complete(order: Order) -> None:
    if order.state == Order.State.PLACED and not any(row.to_come for row in load_order(order).lines):
        order.state = Order.State.ARRIVED
        order.save(update_fields=["state"])

"""How moves are booked: one operation at a time per item, each operation once, never more than a hundredth fine."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from jobs.actions.locations import firm_place
from jobs.actions.permission import Refused
from jobs.core.figures import plain
from jobs.models import Drum, Firm, Item, Job, Location, OrderLine, RoomTask, StockMove, User

LARGEST = Decimal(100_000)
"""No sensible quantity reaches this; a slipped decimal point does."""


@dataclass(frozen=True)
class Entry:
    """One row to book. `drum` None books pieces, or metres whose drum nobody knows."""

    item: Item
    quantity: Decimal
    moved_from: Location
    moved_to: Location
    drum: Drum | None = None
    order_line: OrderLine | None = None
    corrects: StockMove | None = None


@dataclass(frozen=True)
class Operation:
    """What all rows of one thing a person did have in common."""

    firm: Firm
    op_id: uuid.UUID
    reason: str
    by: User
    at: datetime
    job: Job | None = None
    task: RoomTask | None = None
    note: str = ""


def book(operation: Operation, entries: Iterable[Entry]) -> list[StockMove]:
    """Add the moves. Items are locked by now (`hold_items`), and the operation is new (`list_booked`)."""
    return StockMove.objects.bulk_create(
        [_row(operation, line, entry) for line, entry in enumerate(entries) if entry.quantity > 0]
    )


def _row(operation: Operation, line: int, entry: Entry) -> StockMove:
    return StockMove(
        firm=operation.firm,
        op_id=operation.op_id,
        line=line,
        item=entry.item,
        drum=entry.drum,
        pieces=None if entry.drum else entry.quantity,
        cable_metres=entry.quantity if entry.drum else None,
        moved_from=entry.moved_from,
        moved_to=entry.moved_to,
        reason=operation.reason,
        job=operation.job,
        task=operation.task,
        order_line=entry.order_line,
        corrects=entry.corrects,
        made_by=operation.by,
        made_at=operation.at,
        note=operation.note,
    )


def hold_items(firm: Firm, pks: Iterable[int]) -> None:
    """Keep everyone else from booking these items until the transaction ends, so that balances read now stand.

    SQLite holds the whole database for a writer (IMMEDIATE); PostgreSQL holds the rows, always in the same order.
    """
    list(Item.objects.select_for_update(no_key=True).filter(firm=firm, pk__in=set(pks)).order_by("pk").values_list("pk"))


def list_booked(firm: Firm, op_id: uuid.UUID) -> list[StockMove]:
    """The rows of an operation that was applied before."""
    return list(StockMove.objects.filter(firm=firm, op_id=op_id).order_by("line"))


def same_as_before(booked: Sequence[StockMove], entries: Sequence[Entry]) -> list[StockMove]:
    """The rows booked before; refused when the same form now says something else."""
    now = [(entry.item.pk, entry.quantity, entry.moved_from.pk, entry.moved_to.pk) for entry in entries]
    before = [(move.item_id, move.quantity, move.moved_from_id, move.moved_to_id) for move in booked]
    if now != before:
        raise Refused("This form was saved once already, with other figures. Open it afresh to book something more.")
    return list(booked)


def check_quantity(item: Item, quantity: Decimal, field: str) -> Decimal:
    """A quantity a person entered: above nought, whole pieces, or metres to the centimetre."""
    unit = "metres" if item.is_cable else "pieces"
    if not quantity.is_finite() or quantity <= 0:
        raise Refused(f"Enter how many {unit}, more than 0.", field=field)
    if quantity >= LARGEST:
        raise Refused(f"{quantity} {unit} cannot be right. Enter less than {LARGEST}.", field=field)
    if not item.is_cable and quantity % 1:
        raise Refused(f"{item} is counted in whole pieces.", field=field)
    if quantity != quantity.quantize(Decimal("0.01")):
        raise Refused("Enter metres to the centimetre, such as 12.50.", field=field)
    return quantity


def require_loose(item: Item) -> None:
    if item.is_cable:
        raise Refused(f"{item} is kept on drums. Choose the drum.", field="item")


def require_cable(item: Item) -> None:
    if not item.is_cable:
        raise Refused(f"{item} does not come on drums. Enter pieces.", field="item")


def require_own(places: Sequence[tuple[Location, str]]) -> None:
    for place, field in places:
        if not place.is_ours:
            raise Refused("Choose the unit, a van or a site.", field=field)


def difference(by: User, item: Item, place: Location, more: Decimal, drum: Drum | None = None) -> Entry:
    """What a count adds to a place, or takes from it."""
    counting = firm_place(by.firm, Location.Kind.COUNT)
    if more > 0:
        return Entry(item, more, counting, place, drum)
    return Entry(item, -more, place, counting, drum)


def require_unmoved(
    seen: Decimal | None, balance: Decimal, what: str, field: str = "found", since: str = "While you counted"
) -> None:
    if seen is not None and seen != balance:
        raise Refused(
            f"{since}, {what} went from {plain(seen)} to {plain(balance)}. Count again, so that nothing is "
            "booked twice.",
            field=field,
        )


def require_held(place: Location, what: object, held: Decimal, quantity: Decimal, field: str) -> None:
    if held < quantity:
        where = "as fitted there" if place.kind == Location.Kind.FITTED else "there"
        raise Refused(
            f"{place}: the books show {plain(held)} of {what} {where}, not {plain(quantity)}. Enter less, count first, "
            "or say that it is there all the same.",
            field=field,
        )

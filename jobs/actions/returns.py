"""Sending things back to a supplier."""

import uuid
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions.drums import whereabouts
from jobs.actions.locations import firm_place
from jobs.actions.permission import Refused, require_member
from jobs.actions.stock_book import (
    Entry,
    Operation,
    book,
    check_quantity,
    hold_items,
    list_booked,
    require_held,
    require_loose,
    require_own,
    same_as_before,
)
from jobs.models import Drum, Item, Location, OrderLine, StockMove, User
from jobs.queries.balances import load_balances

RETURN = StockMove.Reason.RETURN


@transaction.atomic
def return_pieces(
    *, item: Item, pieces: Decimal, moved_from: Location, op_id: uuid.UUID, by: User, at: datetime,
    order_line: OrderLine | None = None, note: str = "",
) -> list[StockMove]:
    """Pieces went back to the supplier, off the books. What they send instead is ordered anew."""
    require_member(by, item, moved_from, order_line)
    require_loose(item)
    require_own([(moved_from, "moved_from")])
    check_quantity(item, pieces, "pieces")
    _require_line_of(item, order_line)
    entry = Entry(item, pieces, moved_from, firm_place(by.firm, Location.Kind.SUPPLIER), order_line=order_line)
    hold_items(by.firm, [item.pk])
    if booked := list_booked(by.firm, op_id):
        return same_as_before(booked, [entry])
    require_held(moved_from, item, load_balances(by.firm, [item.pk]).loose(item.pk, moved_from.pk), pieces, "pieces")
    return book(Operation(by.firm, op_id, RETURN, by, at, moved_from.job, note=note), [entry])


@transaction.atomic
def return_drum(
    *, drum: Drum, op_id: uuid.UUID, by: User, at: datetime, order_line: OrderLine | None = None, note: str = ""
) -> list[StockMove]:
    """A drum went back to the supplier with all its metres."""
    require_member(by, drum, order_line)
    _require_line_of(drum.item, order_line)
    hold_items(by.firm, [drum.item_id])
    if booked := list_booked(by.firm, op_id):
        return booked
    place, left = whereabouts(drum)
    if left <= 0:
        raise Refused(f"Drum {drum} has no metres left to send back. Measure it first.")
    entry = Entry(drum.item, left, place, firm_place(by.firm, Location.Kind.SUPPLIER), drum, order_line)
    return book(Operation(by.firm, op_id, RETURN, by, at, place.job, note=note), [entry])


def _require_line_of(item: Item, line: OrderLine | None) -> None:
    if line and line.item_id != item.pk:
        raise Refused(f"{line.order} has no {item} on that line. Choose the order it came with.", field="order_line")

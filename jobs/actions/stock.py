"""What people do with stock. Moves are only added; the same operation id twice changes nothing.

Crew may book what they did; a balance may fall below zero only where somebody says that the thing is there all the
same (or a tick on site says so), and then it is flagged until it is counted.
"""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions.locations import ensure_locations, firm_place, job_place
from jobs.actions.permission import Refused, require_member
from jobs.actions.stock_book import (
    Entry,
    Operation,
    book,
    check_quantity,
    difference,
    hold_items,
    list_booked,
    require_held,
    require_loose,
    require_own,
    require_unmoved,
    same_as_before,
)
from jobs.actions.task_use import undo_use, use_for_task
from jobs.core.stock import Balances, Spot
from jobs.models import Drum, Item, Job, Location, StockMove, User
from jobs.queries.balances import load_balances

__all__ = ["bring_back", "count", "ensure_locations", "move", "receive", "undo_use", "use", "use_for_task", "waste"]

Reason, Kind = StockMove.Reason, Location.Kind


@transaction.atomic
def receive(
    *, item: Item, pieces: Decimal, to: Location, op_id: uuid.UUID, by: User, at: datetime, note: str = ""
) -> list[StockMove]:
    """Pieces came from a supplier without an order in the books; drums come by `drums.receive_drums`."""
    require_member(by, item, to)
    require_loose(item)
    require_own([(to, "to")])
    check_quantity(item, pieces, "pieces")
    entry = Entry(item, pieces, firm_place(by.firm, Kind.SUPPLIER), to)
    return _book_once(Operation(by.firm, op_id, Reason.RECEIVE, by, at, to.job, note=note), entry)


@transaction.atomic
def move(
    *, item: Item, pieces: Decimal, moved_from: Location, moved_to: Location, op_id: uuid.UUID, by: User, at: datetime,
    even_if_short: bool = False, note: str = "",
) -> list[StockMove]:
    """Pieces went from one of the firm's places to another."""
    require_member(by, item, moved_from, moved_to)
    require_loose(item)
    require_own([(moved_from, "moved_from"), (moved_to, "moved_to")])
    if moved_from == moved_to:
        raise Refused("It is there already. Choose another place to move it to.", field="moved_to")
    check_quantity(item, pieces, "pieces")
    operation = Operation(by.firm, op_id, Reason.MOVE, by, at, moved_to.job or moved_from.job, note=note)
    return _book_once(operation, Entry(item, pieces, moved_from, moved_to), must_hold=not even_if_short)


@transaction.atomic
def use(
    *, item: Item, pieces: Decimal, job: Job, moved_from: Location, op_id: uuid.UUID, by: User, at: datetime,
    even_if_short: bool = False, note: str = "",
) -> list[StockMove]:
    """Pieces were fitted on a job beside what its ticks take."""
    require_member(by, item, job, moved_from)
    require_loose(item)
    require_own([(moved_from, "moved_from")])
    check_quantity(item, pieces, "pieces")
    entry = Entry(item, pieces, moved_from, job_place(job, Kind.FITTED))
    return _book_once(Operation(by.firm, op_id, Reason.USE, by, at, job, note=note), entry, must_hold=not even_if_short)


@transaction.atomic
def waste(
    *, item: Item, pieces: Decimal, moved_from: Location, op_id: uuid.UUID, by: User, at: datetime,
    even_if_short: bool = False, note: str = "",
) -> list[StockMove]:
    """Pieces were broken, lost or thrown away."""
    require_member(by, item, moved_from)
    require_loose(item)
    require_own([(moved_from, "moved_from")])
    check_quantity(item, pieces, "pieces")
    entry = Entry(item, pieces, moved_from, firm_place(by.firm, Kind.WASTE))
    operation = Operation(by.firm, op_id, Reason.WASTE, by, at, moved_from.job, note=note)
    return _book_once(operation, entry, must_hold=not even_if_short)


@transaction.atomic
def bring_back(
    *, item: Item, pieces: Decimal, job: Job, to: Location, op_id: uuid.UUID, by: User, at: datetime, note: str = ""
) -> list[StockMove]:
    """Pieces that were booked as fitted on a job came back unused; an offcut comes back by `drums.bring_back_offcut`."""
    require_member(by, item, job, to)
    require_loose(item)
    require_own([(to, "to")])
    check_quantity(item, pieces, "pieces")
    entry = Entry(item, pieces, job_place(job, Kind.FITTED), to)
    return _book_once(Operation(by.firm, op_id, Reason.BRING_BACK, by, at, job, note=note), entry, must_hold=True)


@dataclass(frozen=True)
class Counted:
    """What somebody found of an item, or of one drum; `seen` is the balance they had before them (None: none)."""

    item: Item
    found: Decimal
    seen: Decimal | None = None
    drum: Drum | None = None

    @property
    def field(self) -> str:
        return f"drum-{self.drum.pk}" if self.drum else f"item-{self.item.pk}"


@transaction.atomic
def count(
    *, place: Location, counted: Sequence[Counted], op_id: uuid.UUID, by: User, at: datetime, note: str = ""
) -> list[StockMove]:
    """Somebody counted things in a place: each difference is booked. Cable without a drum counts as metres.

    Where a balance has moved since it was seen the whole count is refused, as nobody can tell whether they counted
    before or after the move.
    """
    require_member(by, place, *(each.item for each in counted), *(each.drum for each in counted))
    require_own([(place, "place")])
    for each in counted:
        if each.found:
            check_quantity(each.item, each.found, each.field)
    hold_items(by.firm, [each.item.pk for each in counted])
    if booked := list_booked(by.firm, op_id):
        return booked
    balances = load_balances(by.firm, [each.item.pk for each in counted])
    operation = Operation(by.firm, op_id, Reason.COUNT, by, at, place.job, note=note)
    return book(operation, [_difference(by, place, each, balances) for each in counted])


def _difference(by: User, place: Location, counted: Counted, balances: Balances) -> Entry:
    spot = Spot(counted.item.pk, place.pk, counted.drum.pk if counted.drum else None)
    balance = balances.quantities.get(spot, Decimal(0))
    require_unmoved(counted.seen, balance, f"{counted.drum or counted.item} in {place}", counted.field)
    return difference(by, counted.item, place, counted.found - balance, drum=counted.drum)


def _book_once(operation: Operation, entry: Entry, *, must_hold: bool = False) -> list[StockMove]:
    hold_items(operation.firm, [entry.item.pk])
    if booked := list_booked(operation.firm, operation.op_id):
        return same_as_before(booked, [entry])
    if must_hold:
        held = load_balances(operation.firm, [entry.item.pk]).loose(entry.item.pk, entry.moved_from.pk)
        require_held(entry.moved_from, entry.item, held, entry.quantity, "pieces")
    return book(operation, [entry])

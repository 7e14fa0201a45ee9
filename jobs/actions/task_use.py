"""Materials that a tick takes, and gives back when the tick is taken back."""

import uuid
from collections.abc import Iterator
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from jobs.actions.locations import firm_place, job_place, van_of
from jobs.actions.permission import require_member
from jobs.actions.stock_book import Entry, Operation, book, hold_items, list_booked
from jobs.core.stock import Taking, take_cable, take_pieces
from jobs.models import Drum, Item, Location, Person, RoomTask, StockMove, User
from jobs.queries.actual_use import list_recorded_items
from jobs.queries.balances import load_own_balances
from jobs.queries.takeoff import load_line_materials

Reason, Kind = StockMove.Reason, Location.Kind
UNDO_SPACE = uuid.UUID("5a1f3a4e-6a0c-4f3e-9a55-0d6c7b2f8e11")
"""Where the ids of taken-back operations are made, so that taking back twice is once."""


@transaction.atomic
def use_for_task(
    *, task: RoomTask, op_id: uuid.UUID, share: Decimal, person: Person | None, by: User, at: datetime
) -> list[StockMove]:
    """`share` (0 to 1) of a line's materials leaves stock: from the person's van, then the site, then the unit.

    What none of them holds is owed by the first: the thing is in the wall, so the books are wrong, and say so.
    """
    require_member(by, task, person)
    wanted = _wanted(task, Decimal(share))
    hold_items(by.firm, wanted)
    if booked := list_booked(by.firm, op_id):
        return booked
    operation = Operation(by.firm, op_id, Reason.USE, by, at, task.package.job, task)
    return book(operation, list(_entries(operation, wanted, _places(task, person))))


@transaction.atomic
def undo_use(*, op_id: uuid.UUID, by: User, at: datetime) -> list[StockMove]:
    """Everything that one operation took goes back to where it came from."""
    require_member(by, by.firm)
    used = [
        move for move in list_booked(by.firm, op_id) if move.reason == Reason.USE and not move.corrections.exists()
    ]
    hold_items(by.firm, [move.item_id for move in used])
    undo_id = uuid.uuid5(UNDO_SPACE, str(op_id))
    if not used or list_booked(by.firm, undo_id):
        return []
    require_member(by, *used)
    operation = Operation(by.firm, undo_id, Reason.UNDO, by, at, used[0].job, used[0].task)
    back = [Entry(move.item, move.quantity, move.moved_to, move.moved_from, move.drum, corrects=move) for move in used]
    return book(operation, back)


def _wanted(task: RoomTask, share: Decimal) -> dict[int, Decimal]:
    """Item pk → pieces, or metres; nothing of what somebody records as it is really used."""
    parts = {item: quantity * share for item, quantity in load_line_materials(task).items()}
    recorded = list_recorded_items(task.package)
    parts = {item: part for item, part in parts.items() if item not in recorded}
    rounded = {item: part.quantize(Decimal("0.01"), ROUND_HALF_UP) for item, part in parts.items()}
    return {item: quantity for item, quantity in rounded.items() if quantity > 0}


def _places(task: RoomTask, person: Person | None) -> list[Location]:
    own = [van_of(person)] if person else []
    return [*own, job_place(task.package.job, Kind.SITE), firm_place(task.firm, Kind.UNIT)]


def _entries(operation: Operation, wanted: dict[int, Decimal], places: list[Location]) -> Iterator[Entry]:
    balances = load_own_balances(operation.firm, wanted)
    items = Item.objects.in_bulk(wanted)
    order, by_pk = [place.pk for place in places], {place.pk: place for place in places}
    fitted = job_place(operation.job, Kind.FITTED)
    takings: list[Taking] = []
    for item, quantity in sorted(wanted.items()):
        take = take_cable if items[item].is_cable else take_pieces
        takings += take(balances, item, quantity, order)
    drums = Drum.objects.in_bulk([taking.spot.drum for taking in takings if taking.spot.drum])
    for spot, quantity in takings:
        yield Entry(items[spot.item], quantity, by_pk[spot.place], fitted, drums.get(spot.drum))

"""Used and left: what somebody says was really taken takes the place of what the ticks of a package proposed."""

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions import drums, stock
from jobs.actions.locations import job_place, van_of
from jobs.actions.permission import Refused, require_member
from jobs.actions.stock_book import Entry, Operation, book, hold_items
from jobs.models import Drum, Item, Location, StockMove, User, WorkPackage
from jobs.queries.actual_use import list_packs

GIVEN_BACK = uuid.UUID("c7a8b1de-2f0a-4a52-8f5f-7a1d3b0c9e42")
"""Where the ids of given-back proposals are made."""


@transaction.atomic
def record_use(*, package: WorkPackage, details: Mapping[str, str], op_id: uuid.UUID, by: User, at: datetime) -> None:
    """`details` as in `jobs.core.operations`, kind "used": a drum with its two marks, or an item with pieces.

    From the first record on, ticks of the package take that item no longer, and what they took goes back.
    """
    require_member(by, package)
    if details["drum"]:
        drum = _find_drum(by, details["drum"])
        _give_back(package, drum.item, op_id, by, at)
        metres = abs(Decimal(details["end_mark"]) - Decimal(details["start_mark"]))
        drums.use_drum(drum=drum, metres=metres, job=package.job, op_id=op_id, by=by, at=at, even_if_short=True)
        return
    item = _find_item(by, details["thing"])
    _give_back(package, item, op_id, by, at)
    stock.use(
        item=item, pieces=Decimal(details["pieces"]), job=package.job, moved_from=_own_place(package, by), op_id=op_id,
        by=by, at=at, even_if_short=True,
    )


@transaction.atomic
def record_return(*, package: WorkPackage, details: Mapping[str, str], op_id: uuid.UUID, by: User, at: datetime) -> None:
    """Pieces, or a length of cable with a label of its own, come back from the house to the sender's van."""
    require_member(by, package)
    item, to = _find_item(by, details["thing"]), _own_place(package, by)
    common = {"item": item, "job": package.job, "to": to, "op_id": op_id, "by": by, "at": at}
    if item.is_cable:
        drums.bring_back_offcut(label=details["label"], metres=Decimal(details["quantity"]), **common)
    else:
        stock.bring_back(pieces=Decimal(details["quantity"]), **common)


def _give_back(package: WorkPackage, item: Item, op_id: uuid.UUID, by: User, at: datetime) -> None:
    """What ticks proposed of an item goes back to where it came from."""
    packs = list_packs(item)
    hold_items(by.firm, packs)
    proposed = StockMove.objects.filter(
        task__package=package, reason=StockMove.Reason.USE, item__in=packs, corrections=None
    ).select_related("item", "drum", "moved_from", "moved_to")
    operation = Operation(by.firm, uuid.uuid5(GIVEN_BACK, str(op_id)), StockMove.Reason.UNDO, by, at, package.job)
    for line in _by_task(proposed):
        back = [Entry(one.item, one.quantity, one.moved_to, one.moved_from, one.drum, corrects=one) for one in line]
        book(_of_task(operation, line[0]), back)


def _by_task(moves: Iterable[StockMove]) -> list[list[StockMove]]:
    lines: dict[int, list[StockMove]] = {}
    for move in moves:
        lines.setdefault(move.task_id, []).append(move)
    return list(lines.values())


def _of_task(operation: Operation, move: StockMove) -> Operation:
    """The same, booked to the line that took it, so that the line's own balance is nought."""
    op_id = uuid.uuid5(operation.op_id, str(move.task_id))
    return Operation(operation.firm, op_id, operation.reason, operation.by, operation.at, operation.job, move.task)


def _find_drum(by: User, label: str) -> Drum:
    drum = Drum.objects.select_related("item", "firm").filter(firm_id=by.firm_id, label__iexact=label).first()
    if drum is None:
        raise Refused(f"There is no drum {label} in the books. Read its label again, or tell the office.")
    return drum


def _find_item(by: User, code: str) -> Item:
    item = Item.objects.filter(firm_id=by.firm_id, code=code).first()
    if item is None:
        raise Refused("That item is not in the books any more. Tell the office what was used.")
    return item


def _own_place(package: WorkPackage, by: User) -> Location:
    return van_of(by.person) if by.person else job_place(package.job, Location.Kind.SITE)

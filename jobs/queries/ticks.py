"""Lines of a checklist and the marks made on them, folded into where each stands."""

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID

from jobs.core import ticks
from jobs.core.operations import MARKS
from jobs.models import RoomTask, SiteOperation, StockMove


def load_standings(tasks: Iterable[RoomTask]) -> dict[int, ticks.Standing]:
    """Line pk → where it stands, in one query."""
    marks: dict[int, list[ticks.Mark]] = {task.pk: [] for task in tasks}
    for row in _applied(marks):
        marks[row.task_id].append(as_mark(row))
    return {pk: ticks.fold(found) for pk, found in marks.items()}


def load_line_state(task: RoomTask) -> dict[str, object]:
    """What a phone is told about a line: ready for JSON."""
    return as_line_state(task, load_standings([task])[task.pk])


def as_line_state(task: RoomTask, standing: ticks.Standing) -> dict[str, object]:
    return {
        "item": str(task.uid),
        "share": float(standing.share),
        "not_needed": standing.not_needed,
        "marks": sorted(standing.marks),
    }


def list_use_ids(task: RoomTask) -> list[UUID]:
    """The operations whose use of materials on a line still stands."""
    moves = StockMove.objects.filter(task=task, reason=StockMove.Reason.USE, corrections=None)
    return list(moves.order_by("op_id").values_list("op_id", flat=True).distinct())


def as_mark(row: SiteOperation) -> ticks.Mark:
    return ticks.Mark(
        op_id=str(row.op_id),
        at=row.corrected_at,
        by=row.person_id,
        share=Decimal(row.payload["share"]),
        not_needed=row.payload["reason"],
        replaces=frozenset(row.payload["replaces"]),
    )


def _applied(task_pks: Iterable[int]) -> Iterable[SiteOperation]:
    return SiteOperation.objects.filter(
        task_id__in=list(task_pks), kind__in=MARKS, outcome=SiteOperation.Outcome.APPLIED
    )

"""Progress of lines already loaded, in the hours the contractor counts with."""

from collections.abc import Iterable
from decimal import Decimal

from jobs.models import RoomTask, WorkPackage
from jobs.queries.progress import Progress


def hours_of(task: RoomTask) -> Decimal:
    """A line's labour, scaled when the contractor corrected the package's hours. Needs `task.package` loaded."""
    return task.labour_hours * _scale(task.package)


def measure(tasks: Iterable[RoomTask]) -> Progress:
    """Progress of the lines still asked for. A line that is not needed here has `done_share` 1."""
    lines = [task for task in tasks if not task.is_withdrawn]
    return Progress(
        hours=sum(map(hours_of, lines), Decimal(0)),
        hours_done=sum((hours_of(task) * task.done_share for task in lines), Decimal(0)),
        lines=len(lines),
        lines_done=sum(task.is_done for task in lines),
    )


def _scale(package: WorkPackage) -> Decimal:
    if package.corrected_hours is None or not package.labour_hours:
        return Decimal(1)
    return package.corrected_hours / package.labour_hours

"""What a mark on a line changes: the line, the stock its materials come from, its package and its job."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from jobs.actions import stock
from jobs.core.ticks import Standing
from jobs.models import Job, RoomTask, User, WorkPackage
from jobs.queries.ticks import list_use_ids, load_standings


@dataclass(frozen=True)
class Mark:
    """A mark that counts: by whom, on which line, and when by the server's clock."""

    user: User
    op_id: UUID
    task: RoomTask
    at: datetime


def follow_mark(mark: Mark) -> None:
    """Bring line, stock, package and job up to the line's marks."""
    task = mark.task
    standing = load_standings([task])[task.pk]
    used_before = Decimal(0) if task.not_needed else task.done_share
    _set_line(task, standing)
    _move_stock(mark, used_before, standing.share)
    set_finished(task.package, mark.at)
    if standing.share and task.package.job.state == Job.State.BOOKED:
        Job.objects.filter(pk=task.package.job_id, state=Job.State.BOOKED).update(state=Job.State.ON_SITE)


def set_finished(package: WorkPackage, at: datetime) -> None:
    """A package is finished while none of its lines is open."""
    is_open = package.tasks.filter(is_withdrawn=False, done_share__lt=1).exists()
    if is_open == (package.finished_at is None):
        return
    package.finished_at = None if is_open else at
    package.save(update_fields=["finished_at"])


def _set_line(task: RoomTask, standing: Standing) -> None:
    last = standing.last
    task.done_share, task.not_needed = standing.settled_share, standing.not_needed
    task.done_by_id, task.done_at = (last.by, last.at) if last else (None, None)
    task.save(update_fields=["done_share", "not_needed", "done_by", "done_at"])


def _move_stock(mark: Mark, before: Decimal, after: Decimal) -> None:
    """Stock follows the line's share, so two phones ticking one line use its materials once."""
    if after < before:
        for op_id in list_use_ids(mark.task):
            stock.undo_use(op_id=op_id, by=mark.user, at=mark.at)
        before = Decimal(0)
    if after > before:
        stock.use_for_task(
            task=mark.task, op_id=mark.op_id, share=after - before, person=mark.user.person, by=mark.user, at=mark.at
        )

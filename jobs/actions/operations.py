"""One endpoint's worth of writing: an operation from a phone is applied once, whatever happens on the way.

The operation is kept (never edited), the line's standing is folded from all its marks, the room's line, package, job
and stock follow in the same transaction. Ticks merge without a clock; the corrected time only says when.
"""

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import IntegrityError, transaction

from jobs.actions import stock
from jobs.actions.permission import require_member
from jobs.core.operations import BadOperation, Operation, read_id, read_operation
from jobs.core.ticks import Standing, correct_time
from jobs.models import Job, RoomTask, SiteOperation, User, WorkPackage
from jobs.queries.ticks import list_use_ids, load_line_state, load_standings

APPLIED, DUPLICATE, REFUSED, BAD = "applied", "duplicate", "refused", "bad"
STATUS = {APPLIED: 200, DUPLICATE: 200, REFUSED: 409, BAD: 422}
USED_FOR_SOMETHING_ELSE = "This id was used for something else."


@dataclass(frozen=True)
class Answer:
    """What became of one operation. `ack` repeats its id; the phone forgets an operation only on its own ack."""

    ack: str | None
    result: str
    reason: str = ""
    state: dict[str, object] = field(default_factory=dict)

    @property
    def status(self) -> int:
        return STATUS[self.result]


def apply_operation(*, user: User, body: object, now: datetime) -> Answer:
    """Apply the operation in `body` (see `jobs.core.operations`) as `user`, unless it was applied before."""
    require_member(user)
    try:
        operation = read_operation(body)
    except BadOperation as bad:
        return Answer(read_id(body), BAD, str(bad))
    try:
        return _apply_once(user, operation, now)
    except IntegrityError:  # another process applied the same id between our look and our write
        return _apply_once(user, operation, now)


@dataclass(frozen=True)
class _Mark:
    """An operation on its line: who, what, on which line, and when by the server's clock."""

    user: User
    operation: Operation
    task: RoomTask
    received_at: datetime

    @property
    def at(self) -> datetime:
        """When it happened, with the phone's wrong clock allowed for."""
        operation = self.operation
        return correct_time(received_at=self.received_at, sent_at=operation.sent_at, device_at=operation.device_at)


@transaction.atomic
def _apply_once(user: User, operation: Operation, now: datetime) -> Answer:
    task = _lock_task(user, operation.item)
    known = SiteOperation.objects.filter(op_id=operation.op_id).select_related("task").first()
    if known:
        return _answer_again(user, operation, known)
    if task is None:
        return Answer(operation.op_id, BAD, "There is no such line in this firm.")
    mark, refusal = _Mark(user, operation, task, now), _refusal(operation, task)
    _keep(mark, refusal)
    if not refusal:
        _follow(mark)
    return Answer(operation.op_id, REFUSED if refusal else APPLIED, refusal, load_line_state(task))


def _lock_task(user: User, uid: str) -> RoomTask | None:
    """The line with its package, held until the transaction ends, so that two phones come one after the other."""
    rows = RoomTask.objects.select_for_update(of=("self", "package")).select_related("package__job", "room")
    return rows.filter(uid=uid, firm_id=user.firm_id).first()


def _answer_again(user: User, operation: Operation, known: SiteOperation) -> Answer:
    if known.firm_id != user.firm_id or known.body_hash != operation.body_hash:
        return Answer(operation.op_id, BAD, USED_FOR_SOMETHING_ELSE)
    result = REFUSED if known.outcome == SiteOperation.Outcome.REFUSED else DUPLICATE
    return Answer(operation.op_id, result, known.reason, load_line_state(known.task))


def _refusal(operation: Operation, task: RoomTask) -> str:
    """Why a well-formed operation cannot count any more, or nothing."""
    job = task.package.job
    if job.state in {Job.State.HANDED_OVER, Job.State.DROPPED}:
        return f"{job} is closed ({job.get_state_display().lower()}). Tell the office what was done."
    if task.is_withdrawn and operation.kind != "untick":
        return "The survey no longer asks for this line. Tell the office what was done."
    return ""


def _keep(mark: _Mark, refusal: str) -> None:
    operation = mark.operation
    SiteOperation.objects.create(
        firm_id=mark.user.firm_id, user=mark.user, person_id=mark.user.person_id, task=mark.task,
        op_id=operation.op_id, kind=operation.kind, payload=operation.value, body_hash=operation.body_hash,
        device_at=operation.device_at, received_at=mark.received_at, corrected_at=mark.at, reason=refusal,
        outcome=SiteOperation.Outcome.REFUSED if refusal else SiteOperation.Outcome.APPLIED,
    )


def _follow(mark: _Mark) -> None:
    """Bring line, stock, package and job up to the marks."""
    task = mark.task
    standing = load_standings([task])[task.pk]
    used_before = Decimal(0) if task.not_needed else task.done_share
    _set_line(task, standing)
    _move_stock(mark, used_before, standing.share)
    _set_package(task.package, mark.at)
    if standing.share and task.package.job.state == Job.State.BOOKED:
        Job.objects.filter(pk=task.package.job_id, state=Job.State.BOOKED).update(state=Job.State.ON_SITE)


def _set_line(task: RoomTask, standing: Standing) -> None:
    last = standing.last
    task.done_share, task.not_needed = standing.settled_share, standing.not_needed
    task.done_by_id, task.done_at = (last.by, last.at) if last else (None, None)
    task.save(update_fields=["done_share", "not_needed", "done_by", "done_at"])


def _move_stock(mark: _Mark, before: Decimal, after: Decimal) -> None:
    """Stock follows the line's share, so two phones ticking one line use its materials once."""
    if after < before:
        for op_id in list_use_ids(mark.task):
            stock.undo_use(op_id=op_id, by=mark.user, at=mark.at)
        before = Decimal(0)
    if after > before:
        stock.use_for_task(
            task=mark.task, op_id=UUID(mark.operation.op_id), share=after - before, person=mark.user.person, by=mark.user,
            at=mark.at,
        )


def _set_package(package: WorkPackage, at: datetime) -> None:
    """A package is finished while none of its lines is open."""
    is_open = package.tasks.filter(is_withdrawn=False, done_share__lt=1).exists()
    if is_open == (package.finished_at is None):
        return
    package.finished_at = None if is_open else at
    package.save(update_fields=["finished_at"])

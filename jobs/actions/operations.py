"""One endpoint's worth of writing: an operation from a phone is applied once, whatever happens on the way.

The operation is kept (never edited), and what follows from it is written in the same transaction. Ticks merge without
a clock; where one value replaces another, the corrected time decides; it also says when something was done.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Max

from jobs.actions.actual_use import record_return, record_use
from jobs.actions.marks import Mark, follow_mark
from jobs.actions.permission import Refused, require_member
from jobs.actions.photos import keep_photo
from jobs.actions.pictures import Picture, read_picture
from jobs.actions.power import refuse_without_readings
from jobs.actions.readings import Taken, record_readings, record_sockets, record_supply
from jobs.actions.snags import add_snag
from jobs.actions.van_by_phone import record_put_on, record_taken_off
from jobs.actions.variations import report_point
from jobs.actions.worked_hours import say_hours
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.core.operations import MARKS, BadOperation, Operation, read_id, read_operation, with_picture
from jobs.core.ticks import correct_time
from jobs.models import Circuit, Instrument, Job, Person, Point, Room, RoomTask, SiteOperation, User, WorkPackage
from jobs.queries.readings_verdict import tell_sockets, tell_supply, tell_verdict
from jobs.queries.ticks import load_line_state
from rewire.named_firm import work_for

APPLIED, DUPLICATE, REFUSED, BAD = "applied", "duplicate", "refused", "bad"
STATUS = {APPLIED: 200, DUPLICATE: 200, REFUSED: 409, BAD: 422}
USED_FOR_SOMETHING_ELSE = "This id was used for something else."
LAST_STANDS = ("measure", "hours", "readings", "sockets", "supply")
"""Kinds of which one replaces another."""
SLOWEST_WAY = timedelta(minutes=2)
"""A sending that takes longer fails, and is sent anew."""
CLOSED = (Job.State.HANDED_OVER, Job.State.DROPPED)

Subject = RoomTask | Point | Room | Circuit | WorkPackage | Person | Job
RELATED: dict[type[Subject], tuple[str, ...]] = {
    RoomTask: ("package__job", "room"), Point: ("job", "room"), Room: ("job", "area", "firm"),
    Circuit: ("job__firm", "firm"),
    WorkPackage: ("job", "area", "firm"), Person: ("firm",), Job: ("firm",),
}
"""What operations are about, and what is read with it."""


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


@dataclass(frozen=True)
class Done:
    """An operation on its subject: who, what, about what, and when by the server's clock.

    `at`: when it happened, with the phone's wrong clock allowed for.
    """

    user: User
    operation: Operation
    subject: Subject
    received_at: datetime
    at: datetime
    picture: Picture | None = None

    @property
    def op_id(self) -> UUID:
        return UUID(self.operation.op_id)

    @property
    def job(self) -> Job | None:
        return _job_of(self.subject)


def apply_operation(*, user: User, body: object, now: datetime, picture: bytes | None = None) -> Answer:
    """Apply the operation in `body` (see `jobs.core.operations`) as `user`, unless it was applied before.

    `picture` are the bytes that came beside it.
    """
    require_member(user)
    try:
        operation, drawn = _read(body, picture)
    except BadOperation as bad:
        return Answer(read_id(body), BAD, str(bad))
    try:
        return _apply_once(user, operation, drawn, now)
    except IntegrityError:  # another process applied the same id between our look and our write, or it is another firm's
        if _is_another_firms(user, operation):
            return Answer(operation.op_id, BAD, USED_FOR_SOMETHING_ELSE)
        return _apply_once(user, operation, drawn, now)


def _is_another_firms(user: User, operation: Operation) -> bool:
    with work_for(None):
        return SiteOperation.objects.filter(op_id=operation.op_id).exclude(firm_id=user.firm_id).exists()


def _read(body: object, picture: bytes | None) -> tuple[Operation, Picture | None]:
    operation = read_operation(body)
    if picture and operation.kind not in WITH_PICTURE:
        raise BadOperation("No picture belongs to this.")
    if not picture:
        if operation.kind == "photo":
            raise BadOperation("The picture is missing.")
        return operation, None
    drawn = read_picture(picture)
    return with_picture(operation, drawn.sha256), drawn


@transaction.atomic
def _apply_once(user: User, operation: Operation, picture: Picture | None, now: datetime) -> Answer:
    subject = _lock_subject(user, operation)
    known = SiteOperation.objects.filter(op_id=operation.op_id).select_related("task").first()
    if known:
        return _answer_again(user, operation, known, subject)
    if subject is None:
        return Answer(operation.op_id, BAD, "There is no such thing in this firm.")
    done = Done(user, operation, subject, now, _happened_at(user, operation, subject, now), picture)
    refusal = _refusal(done)
    if refusal:
        _keep(done, refusal)
    else:
        refusal = _carry_out(done)
    return Answer(operation.op_id, REFUSED if refusal else APPLIED, refusal, _state(operation, subject))


def _happened_at(user: User, operation: Operation, subject: Subject, received_at: datetime) -> datetime:
    """By the server's clock; where the last said stands, after what the same person said of the same thing before.

    A slow way here looks like time gone by: what was sent slowly would otherwise outlive what was said after it.
    """
    at = correct_time(received_at=received_at, sent_at=operation.sent_at, device_at=operation.device_at)
    if operation.kind not in LAST_STANDS:
        return at
    said = SiteOperation.objects.filter(job=_job_of(subject), kind=operation.kind, subject=operation.item, user=user)
    slow = said.filter(device_at__lt=operation.device_at, corrected_at__range=(at, at + SLOWEST_WAY))
    before = slow.aggregate(last=Max("corrected_at"))["last"]
    return before + timedelta(microseconds=1) if before else at


def _job_of(subject: Subject) -> Job | None:
    if isinstance(subject, Person | Job):
        return subject if isinstance(subject, Job) else None
    return subject.package.job if isinstance(subject, RoomTask) else subject.job


def _lock_subject(user: User, operation: Operation) -> Subject | None:
    """What it is about, held until the transaction ends, so that two phones come one after the other."""
    model = EFFECTS[operation.kind][0]
    held = ("self", "package") if model is RoomTask else ("self",)
    rows = model.objects.select_for_update(of=held).select_related(*RELATED[model])
    return rows.filter(uid=operation.item, firm_id=user.firm_id).first()


def _answer_again(user: User, operation: Operation, known: SiteOperation, subject: Subject | None) -> Answer:
    if known.firm_id != user.firm_id or known.body_hash != operation.body_hash:
        return Answer(operation.op_id, BAD, USED_FOR_SOMETHING_ELSE)
    result = REFUSED if known.outcome == SiteOperation.Outcome.REFUSED else DUPLICATE
    return Answer(operation.op_id, result, known.reason, _state(operation, subject))


def _state(operation: Operation, subject: Subject | None) -> dict[str, object]:
    """What the phone shows at once: where a line stands, or what readings say."""
    if isinstance(subject, RoomTask):
        return load_line_state(subject)
    if subject and operation.kind in TELLS:
        return {"told": TELLS[operation.kind](subject, operation)}
    return {}


def _refusal(done: Done) -> str:
    """Why a well-formed operation cannot count any more, or nothing."""
    if done.job and done.job.state in CLOSED:
        return f"{done.job} is closed ({done.job.get_state_display().lower()}). Tell the office what was done."
    if isinstance(done.subject, RoomTask) and done.subject.is_withdrawn and done.operation.kind != "untick":
        return "The survey no longer asks for this line. Tell the office what was done."
    return ""


def _carry_out(done: Done) -> str:
    """Keep the operation with its effect; where the effect is refused, keep it as refused and answer why."""
    try:
        with transaction.atomic():
            _keep(done)
            EFFECTS[done.operation.kind][1](done)
    except Refused as refused:
        _keep(done, refused.message[:300])
        return refused.message[:300]
    return ""


def _keep(done: Done, refusal: str = "") -> None:
    operation = done.operation
    SiteOperation.objects.create(
        firm_id=done.user.firm_id, user=done.user, person_id=done.user.person_id, job=done.job, subject=operation.item,
        task=done.subject if isinstance(done.subject, RoomTask) else None, op_id=operation.op_id, kind=operation.kind,
        payload=operation.value, body_hash=operation.body_hash, device_at=operation.device_at,
        received_at=done.received_at, corrected_at=done.at, reason=refusal,
        outcome=SiteOperation.Outcome.REFUSED if refusal else SiteOperation.Outcome.APPLIED,
    )


def _mark(done: Done) -> None:
    if done.operation.kind != "untick":
        refuse_without_readings(done.subject)
    follow_mark(Mark(done.user, done.op_id, done.subject, done.at))


def _measure(done: Done) -> None:
    """The kept operation is the measurement."""
    if done.subject.is_dropped:
        raise Refused("The survey no longer has this point. Tell the office what was measured.")


def _photo(done: Done) -> None:
    keep_photo(
        room=done.subject, details=done.operation.details, picture=done.picture, uid=done.op_id, by=done.user, at=done.at
    )


def _snag(done: Done) -> None:
    room, details = done.subject, done.operation.details
    photo = None
    if done.picture:
        about = {"stage": details["stage"], "surface": "", "point": "", "words": details["words"]}
        photo = keep_photo(room=room, details=about, picture=done.picture, uid=done.op_id, by=done.user, at=done.at)
    add_snag(
        room=room, stage=details["stage"], words=details["words"], labour_hours=Decimal(details["hours"]), by=done.user,
        at=done.at, uid=done.op_id, photo=photo,
    )


def _hours(done: Done) -> None:
    hours = Decimal(done.operation.details["hours"])
    say_hours(package=done.subject, hours=hours, op_id=done.op_id, by=done.user, at=done.at)


def _used(done: Done) -> None:
    record_use(package=done.subject, details=done.operation.details, op_id=done.op_id, by=done.user, at=done.at)


def _brought_back(done: Done) -> None:
    record_return(package=done.subject, details=done.operation.details, op_id=done.op_id, by=done.user, at=done.at)


def _found(done: Done) -> None:
    report_point(room=done.subject, details=done.operation.details, uid=done.op_id, by=done.user, at=done.at)


def _put_on_van(done: Done) -> None:
    record_put_on(person=done.subject, details=done.operation.details, by=done.user, at=done.at)


def _take_off_van(done: Done) -> None:
    record_taken_off(person=done.subject, details=done.operation.details, by=done.user, at=done.at)


def _readings(done: Done) -> None:
    written = {Measure(measure): text for measure, text in done.operation.details["written"].items()}
    record_readings(circuit=done.subject, written=written, **_about_test(done))


def _sockets(done: Done) -> None:
    given = done.operation.details["written"]
    points = {str(row.uid): row for row in Point.objects.filter(firm_id=done.user.firm_id, uid__in=given)}
    if given.keys() - points.keys():
        raise Refused("A socket is no longer in the survey. Open the page again and write what was read there.")
    written = {points[uid]: {SocketMeasure(one): text for one, text in texts.items()} for uid, texts in given.items()}
    record_sockets(circuit=done.subject, written=written, **_about_test(done))


def _supply(done: Done) -> None:
    written = {SupplyMeasure(measure): text for measure, text in done.operation.details["written"].items()}
    record_supply(job=done.subject, written=written, **_about_test(done))


def _about_test(done: Done) -> dict[str, object]:
    given = done.operation.details
    instrument = Instrument.objects.filter(firm_id=done.user.firm_id, uid=given["instrument"] or None).first()
    if given["instrument"] and instrument is None:
        raise Refused("The firm has no such instrument. Open the page again and choose one.")
    when = WhenTested(given.get("when", WhenTested.END))
    taken = Taken(when, done.user.person, done.at, instrument, given.get("test_volts", 500), given["note"])
    return {"taken": taken, "by": done.user, "now": done.received_at, "op_id": done.op_id}


TELLS: dict[str, Callable[[Subject, Operation], list[str]]] = {
    "readings": lambda circuit, said: tell_verdict(circuit, said.details["when"], said.details["written"]),
    "sockets": lambda circuit, said: tell_sockets(circuit, said.details["when"]),
    "supply": lambda job, said: tell_supply(job, said.details["written"]),
}
"""Kind → what the phone hears of it at once, a sentence each."""
WITH_PICTURE = ("photo", "snag")
EFFECTS: dict[str, tuple[type[Subject], Callable[[Done], None]]] = dict.fromkeys(MARKS, (RoomTask, _mark)) | {
    "measure": (Point, _measure),
    "photo": (Room, _photo),
    "snag": (Room, _snag),
    "hours": (WorkPackage, _hours),
    "used": (WorkPackage, _used),
    "brought_back": (WorkPackage, _brought_back),
    "found": (Room, _found),
    "readings": (Circuit, _readings),
    "sockets": (Circuit, _sockets),
    "supply": (Job, _supply),
    "put_on_van": (Person, _put_on_van),
    "take_off_van": (Person, _take_off_van),
}
"""Kind → what its `item` is, and what follows from it."""

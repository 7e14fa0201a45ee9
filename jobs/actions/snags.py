"""Snags: what is left to put right becomes a line of a package that is still to be worked, with its hours."""

import uuid
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from jobs.actions.marks import set_finished
from jobs.actions.permission import Refused, require_member
from jobs.core.stages import WORKED_STAGES, Stage
from jobs.models import Job, Photo, Room, RoomTask, Snag, User, WorkPackage
from jobs.queries.snags import SNAG_PREFIX

SMALLEST_HOURS, LARGEST_HOURS = Decimal("0.25"), Decimal(80)


@transaction.atomic
def add_snag(
    *, room: Room, stage: str, words: str, labour_hours: Decimal, by: User, at: datetime, uid: uuid.UUID | None = None,
    photo: Photo | None = None,
) -> Snag:
    """Plan a snag into the room's package of `stage`, or of the next stage that is not finished."""
    require_member(by, room, photo)
    if room.job.state in (Job.State.HANDED_OVER, Job.State.DROPPED):
        raise Refused(f"{room.job} is closed. Take it up again on its page before adding a snag.")
    if not SMALLEST_HOURS <= labour_hours <= LARGEST_HOURS:
        raise Refused(f"Give hours from {SMALLEST_HOURS} to {LARGEST_HOURS}.", field="labour_hours")
    uid = uid or uuid.uuid4()
    package = _find_package(room, Stage(stage))
    task = _add_line(package, room, f"{SNAG_PREFIX}{uid}", words, labour_hours)
    _add_hours(package, labour_hours)
    set_finished(package, at)
    return Snag.objects.create(
        firm_id=room.firm_id, uid=uid, room=room, words=words, labour_hours=labour_hours, task=task, photo=photo,
        made_by=by, made_at=at,
    )


def _find_package(room: Room, stage: Stage) -> WorkPackage:
    """Held against other writers. Where every later stage is finished, the stage itself is opened again."""
    stages = [one for one in WORKED_STAGES if list(Stage).index(one) >= list(Stage).index(stage)]
    found = [_package(room, one) for one in stages]
    still_open = (package for package in found if package and package.finished_at is None)
    own = next(still_open, None) or found[0]
    return own or WorkPackage.objects.create(
        firm_id=room.firm_id, job=room.job, area=room.area, stage=stages[0], labour_hours=0
    )


def _package(room: Room, stage: Stage) -> WorkPackage | None:
    """A house's test is one package, wherever its board is."""
    rows = WorkPackage.objects.select_for_update(of=("self",)).filter(job=room.job, stage=stage)
    return (rows if stage == Stage.TEST else rows.filter(area=room.area)).first()


def _add_line(package: WorkPackage, room: Room, code: str, words: str, labour_hours: Decimal) -> RoomTask:
    last = RoomTask.objects.filter(package__job=package.job_id).aggregate(last=Max("position"))["last"] or 0
    return RoomTask.objects.create(
        firm_id=room.firm_id, package=package, room=room, code=code, text=words, labour_hours=labour_hours,
        position=min(last + 1, 32_767),
    )


def _add_hours(package: WorkPackage, labour_hours: Decimal) -> None:
    package.labour_hours = Decimal(package.labour_hours) + labour_hours
    if package.corrected_hours is not None:
        package.corrected_hours += labour_hours
    package.save(update_fields=["labour_hours", "corrected_hours"])

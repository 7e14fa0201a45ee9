"""Bringing a survey file into a job: kept while it is looked at, then saved whole or not at all."""

import re
from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.actions.survey import open_job, renew_programme
from jobs.core.survey_file import PointOption, Reading, SurveyDraft, write_csv
from jobs.models import Area, Circuit, Job, Point, PointKind, Room, SurveyUpload, User
from jobs.queries.survey import find_obstacle, has_survey


def keep_upload(
    *, job: Job, file_name: str, reading: Reading, point_kinds: Iterable[PointOption], by: User, now: datetime
) -> SurveyUpload:
    """Keep what was read of a file until it is saved or dropped; the newest upload of a person replaces their last."""
    require_office(by, job)
    text = write_csv(reading.draft, list(point_kinds)).decode("utf-8")
    with transaction.atomic():
        SurveyUpload.objects.filter(job=job, made_by=by).delete()
        return SurveyUpload.objects.create(
            firm_id=job.firm_id, job=job, file_name=plain_name(file_name), text=text, notes=list(reading.notes),
            made_by=by, made_at=now,
        )


def drop_upload(*, upload: SurveyUpload, by: User) -> None:
    require_office(by, upload)
    upload.delete()


@transaction.atomic
def import_survey(*, job: Job, draft: SurveyDraft, by: User, replaces: bool = False) -> None:
    """Save a draft as the survey of a job, all or nothing, and make its programme.

    A job without a survey takes it as it is. A survey that is there is replaced whole, and only when `replaces` says
    so, nothing in the house was ticked and no trade was told a date.
    """
    job = open_job(job, by)
    if has_survey(job):
        _clear_survey(job, replaces)
    _save(job, draft)
    job.survey_uploads.all().delete()
    renew_programme(job, by)


def _clear_survey(job: Job, replaces: bool) -> None:
    if not replaces:
        raise Refused(f"{job} has a survey already. Say that the file replaces it, or change rooms by hand.")
    if obstacle := find_obstacle(job):
        raise Refused(obstacle)
    job.areas.all().delete()
    job.circuits.all().delete()


def _save(job: Job, draft: SurveyDraft) -> None:
    areas = _save_areas(job, draft)
    rooms = _save_rooms(job, draft, areas)
    circuits = _save_circuits(job, draft)
    kinds = {kind.code: kind for kind in PointKind.objects.filter(firm_id=job.firm_id)}
    missing = {group.kind for group in draft.points} - kinds.keys()
    if missing:
        raise Refused(f"The catalogue no longer has: {', '.join(sorted(missing))}. Load the file again.")
    Point.objects.bulk_create(
        (
            Point(
                firm_id=job.firm_id, job=job, room=rooms[group.room], kind=kinds[group.kind],
                circuit=circuits.get(group.circuit), label=group.label, height_mm=group.height_mm,
            )
            for group in draft.points
            for _ in range(group.quantity)
        ),
        batch_size=500,
    )


def _save_areas(job: Job, draft: SurveyDraft) -> dict[str, Area]:
    rows = Area.objects.bulk_create(
        Area(firm_id=job.firm_id, job=job, name=area.name, level=area.level, position=position)
        for position, area in enumerate(draft.areas, start=1)
    )
    return {row.name: row for row in rows}


def _save_rooms(job: Job, draft: SurveyDraft, areas: dict[str, Area]) -> dict[str, Room]:
    rows = Room.objects.bulk_create(
        (
            Room(firm_id=job.firm_id, job=job, position=position, **(vars(room) | {"area": areas[room.area]}))
            for position, room in enumerate(draft.rooms, start=1)
        ),
        batch_size=500,
    )
    return {row.name: row for row in rows}


def _save_circuits(job: Job, draft: SurveyDraft) -> dict[str, Circuit]:
    rows = Circuit.objects.bulk_create(
        Circuit(firm_id=job.firm_id, job=job, **vars(circuit)) for circuit in draft.circuits
    )
    return {row.reference: row for row in rows}


def plain_name(file_name: str, otherwise: str = "survey") -> str:
    """A file's name without its folder and odd signs."""
    return re.sub(r"[^\w .()-]", "", file_name.replace("\\", "/").rsplit("/", 1)[-1])[-120:] or otherwise

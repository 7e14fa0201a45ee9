"""Snags of a job: as its pages list them, and as lines of its programme."""

from django.db.models import QuerySet

from jobs.core.checklists import Line
from jobs.core.stages import Stage
from jobs.core.takeoff import HouseSurvey
from jobs.models import Job, Room, Snag

SNAG_PREFIX = "snag:"


def list_snags(job: Job) -> QuerySet[Snag]:
    """Every snag of the job, open ones first."""
    return _with_rows(Snag.objects.filter(room__job=job)).order_by("task__done_share", "made_at", "pk")


def list_room_snags(room: Room) -> QuerySet[Snag]:
    return _with_rows(room.snags.all())


def list_open_snags(job: Job) -> QuerySet[Snag]:
    return _with_rows(Snag.objects.filter(room__job=job, task__done_share__lt=1))


def load_snag_lines(job: Job, house: HouseSurvey) -> list[Line]:
    """The snags as lines that the programme keeps whatever the survey says."""
    rows = Snag.objects.filter(room__job=job).select_related("task__package", "room").order_by("pk")
    return [_line(row, house) for row in rows]


def _line(snag: Snag, house: HouseSurvey) -> Line:
    stage = Stage(snag.task.package.stage)
    area = house.board_room.area if stage == Stage.TEST else snag.room.area_id
    return Line(area, snag.room_id, stage, snag.task.code, snag.task.text, snag.labour_hours)


def _with_rows(rows: QuerySet[Snag]) -> QuerySet[Snag]:
    return rows.select_related("room", "photo", "task__package", "task__done_by", "made_by__person")

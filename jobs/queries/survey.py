"""The survey of a job as its page shows it, and as the survey file writes it."""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Count, Min, Q, QuerySet

from jobs.core.survey_file import (
    DraftArea,
    DraftCircuit,
    DraftPoints,
    DraftRoom,
    PointOption,
    SurveyDraft,
)
from jobs.models import Area, Circuit, Firm, Job, Point, PointKind, Reading, Room, RoomTask, Visit

MOST_PER_GROUP = 200
MOST_POINTS = 20_000
TOLD_STATES = (Visit.State.ASKED, Visit.State.ACCEPTED, Visit.State.DONE)


@dataclass(frozen=True)
class Group:
    """Equal points of a room; `pk` is the first of them and stands for all."""

    pk: int
    kind: PointKind
    circuit: Circuit | None
    label: str
    height_mm: int | None
    quantity: int


@dataclass(frozen=True)
class SurveyedRoom:
    room: Room
    groups: tuple[Group, ...]

    @property
    def point_count(self) -> int:
        return sum(group.quantity for group in self.groups)


@dataclass(frozen=True)
class SurveyedArea:
    area: Area
    rooms: tuple[SurveyedRoom, ...]


@dataclass(frozen=True)
class Survey:
    areas: tuple[SurveyedArea, ...]
    circuits: tuple[Circuit, ...]

    @cached_property
    def rooms(self) -> list[SurveyedRoom]:
        return [room for area in self.areas for room in area.rooms]

    @property
    def point_count(self) -> int:
        return sum(room.point_count for room in self.rooms)


def load_survey(job: Job) -> Survey:
    """Areas, rooms and points of a job in order; each circuit carries its `point_count`. Five queries at any size."""
    groups = _groups(job)
    rooms: dict[int, list[SurveyedRoom]] = defaultdict(list)
    for room in Room.objects.filter(job=job).select_related("area"):
        rooms[room.area_id].append(SurveyedRoom(room, tuple(groups[room.pk])))
    return Survey(
        tuple(SurveyedArea(area, tuple(rooms[area.pk])) for area in Area.objects.filter(job=job)),
        tuple(list_circuits(job)),
    )


def load_surveyed_room(room: Room) -> SurveyedRoom:
    return SurveyedRoom(room, tuple(_groups(room.job, room=room)[room.pk]))


def list_circuits(job: Job) -> QuerySet[Circuit]:
    """A job's circuits, each with its `point_count`."""
    count = Count("points", filter=Q(points__is_dropped=False))
    return Circuit.objects.filter(job=job).select_related("cable").annotate(point_count=count)


def list_group(point: Point) -> QuerySet[Point]:
    """The points of the room equal to `point`, itself among them."""
    same = {name: getattr(point, name) for name in ("room_id", "kind_id", "circuit_id", "label", "height_mm")}
    return Point.objects.filter(is_dropped=False, **same).select_related("job", "room", "kind").order_by("pk")


def list_begun(job: Job) -> QuerySet[RoomTask]:
    """Lines of the job that somebody ticked, set aside as not needed, or has ever sent anything about."""
    done = Q(done_share__gt=0) | ~Q(not_needed="") | Q(operations__isnull=False)
    return RoomTask.objects.filter(done, package__job=job).distinct()


def find_told(visits: QuerySet[Visit]) -> Visit | None:
    """One of the visits whose date somebody counts on: asked, agreed or worked, or told and not yet told otherwise."""
    for visit in visits.select_related("kind", "area", "contact").prefetch_related("told_dates"):
        told = visit.told_dates.all()
        if visit.state in TOLD_STATES or (told and list(told)[-1].starts_on):
            return visit
    return None


def find_obstacle(job: Job) -> str:
    """Why no file may replace the survey of the job: it would lose a tick, a reading or a date somebody was told; else ""."""
    begun = list_begun(job).select_related("room").first()
    if begun:
        return (
            f"Work has begun (“{begun.text}” in {begun.room} was ticked), so no file may replace this survey. Change rooms "
            "and points by hand: ticks then stay."
        )
    read = Reading.objects.filter(job=job).select_related("circuit").first()
    if read:
        return (
            f"Readings were taken (of {read.circuit or 'the supply'}), so no file may replace this survey. Change rooms and "
            "points by hand: readings then stay."
        )
    told = find_told(Visit.objects.filter(job=job))
    return told_words(told) if told else ""


def told_words(visit: Visit) -> str:
    who = visit.contact or visit.kind
    if visit.state == Visit.State.CANCELLED:
        return f"{who} still has a date for “{visit}”. Issue a plan first, so that they hear it is cancelled."
    return f"{who} was told a date for “{visit}”. Cancel the visit first."


def has_survey(job: Job) -> bool:
    return Area.objects.filter(job=job).exists() or Circuit.objects.filter(job=job).exists()


def list_point_options(firm: Firm) -> list[PointOption]:
    """The firm's kinds of point as the survey file offers them."""
    return [PointOption(*row) for row in PointKind.objects.filter(firm=firm).values_list("code", "name", "circuit_kind")]


def load_draft(job: Job) -> SurveyDraft:
    """The survey of a job as its file would say it."""
    survey = load_survey(job)
    return SurveyDraft(
        tuple(DraftArea(row.area.name, row.area.level) for row in survey.areas),
        tuple(_draft_room(row.room) for row in survey.rooms),
        tuple(_draft_circuit(circuit) for circuit in survey.circuits),
        tuple(_draft_points(row.room, group, part) for row in survey.rooms for group in row.groups for part in _parts(group)),
    )


def _groups(job: Job, **where: object) -> dict[int, list[Group]]:
    """Room pk → groups in the order their first points were added."""
    points = Point.objects.filter(job=job, is_dropped=False, **where).order_by()
    keys = ("room_id", "kind_id", "circuit_id", "label", "height_mm")
    rows = points.values_list(*keys).annotate(first=Min("pk"), quantity=Count("pk")).order_by("first")
    kinds = PointKind.objects.filter(firm_id=job.firm_id).in_bulk()
    circuits = Circuit.objects.filter(job=job).in_bulk()
    found: dict[int, list[Group]] = defaultdict(list)
    for room, kind, circuit, label, height_mm, first, quantity in rows:
        found[room].append(Group(first, kinds[kind], circuits.get(circuit), label, height_mm, quantity))
    return found


def _parts(group: Group) -> list[int]:
    """A group's quantity in parts that one row of the file may hold."""
    whole, rest = divmod(group.quantity, MOST_PER_GROUP)
    return [MOST_PER_GROUP] * whole + [rest] * bool(rest)


def _draft_room(room: Room) -> DraftRoom:
    return DraftRoom(
        room.area.name, room.name, room.kind, room.wall_kind, room.floor_kind, room.length_metres, room.width_metres,
        room.height_metres, room.grid_x_metres, room.grid_y_metres, room.notes, room.joists, room.drop_cover,
    )


def _draft_circuit(circuit: Circuit) -> DraftCircuit:
    return DraftCircuit(
        circuit.reference, circuit.name, circuit.kind, circuit.device, circuit.device_rating_amps, circuit.cable_metres
    )


def _draft_points(room: Room, group: Group, quantity: int) -> DraftPoints:
    reference = group.circuit.reference if group.circuit else ""
    return DraftPoints(room.name, group.kind.code, quantity, reference, group.label, group.height_mm)

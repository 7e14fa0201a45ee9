"""The survey as it is typed in the office: areas, rooms, circuits and points. The programme follows each change."""

from collections.abc import Mapping

from django.db import models, transaction
from django.db.models.deletion import ProtectedError
from django.utils import timezone

from jobs.actions.circuit_references import follow_reference
from jobs.actions.permission import Refused, require_office
from jobs.actions.programme import make_programme
from jobs.models import Area, Circuit, Job, Point, PointKind, Reading, Room, RoomTask, User, Visit, WorkPackage
from jobs.queries.survey import MOST_PER_GROUP, MOST_POINTS, find_told, list_begun, list_group, told_words

CLOSED_STATES = (Job.State.HANDED_OVER, Job.State.DROPPED)


@transaction.atomic
def add_area(*, job: Job, details: Mapping[str, object], by: User) -> Area:
    """`details` are name and level."""
    job = open_job(job, by)
    area = Area(firm_id=job.firm_id, job=job, position=_next_position(job.areas), **details)
    _check_name(job.areas, area, "area")
    area.save()
    return area


@transaction.atomic
def edit_area(*, area: Area, details: Mapping[str, object], by: User) -> Area:
    return _edit(area, details, by, area.job.areas, "area")


@transaction.atomic
def remove_area(*, area: Area, by: User) -> None:
    """Take an area with its rooms off the survey, as long as nothing was ticked in it and nobody told of a visit."""
    job = open_job(area.job, by, area)
    if told := find_told(Visit.objects.filter(area=area)):
        raise Refused(told_words(told))
    _remove(area, list_begun(job).filter(room__area=area))
    renew_programme(job, by)


@transaction.atomic
def add_room(*, job: Job, details: Mapping[str, object], by: User) -> Room:
    """`details` are fields of Room, with its area."""
    job = open_job(job, by, details.get("area"))
    room = Room(firm_id=job.firm_id, job=job, position=_next_position(job.rooms), **details)
    _check_name(job.rooms, room, "room")
    room.save()
    renew_programme(job, by)
    return room


@transaction.atomic
def edit_room(*, room: Room, details: Mapping[str, object], by: User) -> Room:
    open_job(room.job, by, details.get("area"))
    return _edit(room, details, by, room.job.rooms, "room")


@transaction.atomic
def remove_room(*, room: Room, by: User) -> None:
    """Take a room with its points off the survey, as long as nothing was ticked in it."""
    job = open_job(room.job, by, room)
    _remove(room, list_begun(job).filter(room=room))
    renew_programme(job, by)


@transaction.atomic
def add_circuit(*, job: Job, details: Mapping[str, object], by: User) -> Circuit:
    """`details` are fields of Circuit."""
    job = open_job(job, by, details.get("cable"))
    circuit = Circuit(firm_id=job.firm_id, job=job, **details)
    _check_name(job.circuits, circuit, "circuit", "reference")
    circuit.save()
    renew_programme(job, by)
    return circuit


@transaction.atomic
def edit_circuit(*, circuit: Circuit, details: Mapping[str, object], by: User) -> Circuit:
    open_job(circuit.job, by, circuit, details.get("cable"))
    had = circuit.reference
    if "reference" in details:
        named = Circuit(pk=circuit.pk, firm_id=circuit.firm_id, job=circuit.job, reference=details["reference"])
        _check_name(circuit.job.circuits, named, "circuit", "reference")
        follow_reference(circuit=named, had=had, by=by, now=timezone.now())
    return _edit(circuit, details, by, circuit.job.circuits, "circuit", "reference")


@transaction.atomic
def remove_circuit(*, circuit: Circuit, by: User) -> None:
    """Take a circuit off the survey once no point hangs on it."""
    job = open_job(circuit.job, by, circuit)
    count = circuit.points.count()
    if count:
        raise Refused(f"{count} points are on {circuit.reference}. Put them on another circuit first.")
    _remove(circuit, RoomTask.objects.none())
    renew_programme(job, by)


@transaction.atomic
def add_points(
    *, room: Room, kind: PointKind, quantity: int, by: User, circuit: Circuit | None = None, label: str = "",
    height_mm: int | None = None,
) -> list[Point]:
    """Put `quantity` equal points into a room."""
    job = open_job(room.job, by, room, kind, circuit)
    _check_points(job, quantity)
    points = _new_points(room, quantity, {"kind": kind, "circuit": circuit, "label": label, "height_mm": height_mm})
    renew_programme(job, by)
    return points


@transaction.atomic
def change_points(
    *, point: Point, kind: PointKind, quantity: int, by: User, circuit: Circuit | None = None, label: str = "",
    height_mm: int | None = None,
) -> None:
    """Change the group of equal points that `point` belongs to, and how many they are."""
    job = open_job(point.job, by, point, kind, circuit)
    group = list(list_group(point))
    _check_points(job, quantity, had=len(group))
    details = {"kind": kind, "circuit": circuit, "label": label, "height_mm": height_mm}
    kept = group[:quantity] if kind == point.kind else []
    _take_out(group[len(kept):])
    Point.objects.filter(pk__in=[one.pk for one in kept]).update(**details)
    _new_points(point.room, quantity - len(kept), details)
    renew_programme(job, by)


@transaction.atomic
def remove_points(*, point: Point, by: User) -> None:
    """Take the group of equal points that `point` belongs to off the survey."""
    job = open_job(point.job, by, point)
    _take_out(list(list_group(point)))
    renew_programme(job, by)


def open_job(job: Job, by: User, *owned: models.Model | None) -> Job:
    """The job, held against other writers; refused when it is closed or something given is not its firm's."""
    require_office(by, job, *owned)
    held = Job.objects.select_for_update().select_related("firm").get(pk=job.pk, firm_id=by.firm_id)
    if held.state in CLOSED_STATES:
        raise Refused(f"{held} is {held.get_state_display().lower()}. Take it up again on its page to change the survey.")
    for row in owned:
        if getattr(row, "job_id", held.pk) != held.pk:
            raise Refused(f"“{row}” belongs to another house.")
    return held


def renew_programme(job: Job, by: User) -> None:
    """Let the programme follow the survey; while the survey asks for no work there is none."""
    try:
        make_programme(job=job, by=by)
    except Refused:
        WorkPackage.objects.filter(job=job, tasks=None).delete()


def _edit(
    row: Area | Room | Circuit, details: Mapping[str, object], by: User, others: models.Manager, what: str,
    name_field: str = "name",
) -> Area | Room | Circuit:
    job = open_job(row.job, by, row)
    for field, value in details.items():
        setattr(row, field, value)
    _check_name(others, row, what, name_field)
    row.save(update_fields=list(details))
    renew_programme(job, by)
    return row


def _check_name(others: models.Manager, row: models.Model, what: str, field: str = "name") -> None:
    name = getattr(row, field)
    if others.filter(**{f"{field}__iexact": name}).exclude(pk=row.pk).exists():
        raise Refused(f"There is a {what} “{name}” in this house already. Give this one a name of its own.", field=field)


def _check_points(job: Job, quantity: int, had: int = 0) -> None:
    if not 1 <= quantity <= MOST_PER_GROUP:
        raise Refused(f"Give a number of points from 1 to {MOST_PER_GROUP}.", field="quantity")
    if job.points.count() - had + quantity > MOST_POINTS:
        raise Refused(f"A house may have up to {MOST_POINTS:,} points.", field="quantity")


def _new_points(room: Room, quantity: int, details: Mapping[str, object]) -> list[Point]:
    new = [Point(firm_id=room.firm_id, job_id=room.job_id, room=room, **details) for _ in range(quantity)]
    return Point.objects.bulk_create(new)


def _take_out(points: list[Point]) -> None:
    """Points nobody has worked on or measured go; where work has begun they stay on record as dropped."""
    if not points:
        return
    first = points[0]
    rows = Point.objects.filter(pk__in=[point.pk for point in points])
    is_begun = list_begun(first.job).filter(room_id=first.room_id, point_kind_id=first.kind_id).exists()
    if is_begun or Reading.objects.filter(point__in=points).exists():
        rows.update(is_dropped=True)
    else:
        rows.delete()


def _remove(row: models.Model, begun: models.QuerySet[RoomTask]) -> None:
    first = begun.select_related("room").first()
    if first:
        raise Refused(
            f"“{first.text}” in {first.room} was ticked already, so {row} stays in the survey. Take off the points that "
            "are no longer wanted instead."
        )
    try:
        row.delete()
    except ProtectedError:
        raise Refused(f"{row} has records from site, so it stays in the survey.") from None


def _next_position(rows: models.Manager) -> int:
    return (rows.aggregate(last=models.Max("position"))["last"] or 0) + 1

"""What must be recorded before a visit covers work up, and which visits still wait for it."""

from collections.abc import Iterable

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from jobs.core.stages import Stage
from jobs.models import GoAhead, Photo, Point, Room, RoomTask, Visit
from jobs.queries.centres import CENTRES_LINE, list_unmeasured
from jobs.queries.readings_gate import Untested, list_untested

COVERED_STAGES = (Stage.STRIP_OUT, Stage.FIRST_FIX)
"""Stages whose work disappears behind plaster and boards."""

Place = tuple[int, int]
"""A job and one of its areas, by their keys."""
NOT_RECORDED = Q(done_share__lt=1, not_needed="")


def list_missing(visit: Visit) -> QuerySet[RoomTask]:
    """Hold points of what the visit covers that nobody has recorded yet, room by room."""
    if not visit.kind.covers_up:
        return RoomTask.objects.none()
    points = _hold_points({visit.job_id}).filter(NOT_RECORDED)
    if visit.area_id:
        points = points.filter(package__area_id=visit.area_id)
    return points.select_related("room__area", "package").order_by("room__area__position", "room__position", "room", "position")


def list_missing_centres(visit: Visit) -> QuerySet[Point]:
    """Points in ceilings the visit closes whose centre nobody measured, room by room."""
    if not visit.kind.covers_up:
        return Point.objects.none()
    points = list_unmeasured({visit.job_id})
    return points.filter(room__area_id=visit.area_id) if visit.area_id else points


def list_missing_readings(visit: Visit) -> list[Untested]:
    """Circuits with points in rooms the visit closes whose dead tests are missing or out, room by room."""
    if not visit.kind.covers_up:
        return []
    return [row for row in list_untested({visit.job_id}) if visit.area_id in (None, row.room.area_id)]


def list_unseen_rooms(visit: Visit) -> QuerySet[Room]:
    """Rooms the visit closes whose photos were ticked off while none of first fix is stored."""
    if not visit.kind.covers_up:
        return Room.objects.none()
    rooms = _unseen_rooms({visit.job_id})
    return rooms.filter(area_id=visit.area_id) if visit.area_id else rooms


def load_awaiting(visits: Iterable[Visit], *, heed_given: bool = True) -> set[int]:
    """Keys of the visits that cover work up and cannot have their final go-ahead yet.

    Where there is no hold point at all, nobody has looked yet: such a visit waits too. One whose contact was given
    the go-ahead waits no longer, unless `heed_given` is off.
    """
    covering = [visit for visit in visits if visit.kind.covers_up]
    given = _load_given(covering) if covering and heed_given else set()
    covering = [visit for visit in covering if (visit.pk, visit.contact_id) not in given]
    recorded = _load_recorded({visit.job_id for visit in covering}) if covering else {}
    return {visit.pk for visit in covering if not _is_recorded(visit, recorded)}


def _load_given(visits: Iterable[Visit]) -> set[tuple[int, int]]:
    """(visit, contact) of the go-aheads that were given."""
    return set(GoAhead.objects.filter(visit__in=visits).values_list("visit_id", "contact_id"))


def _hold_points(job_pks: set[int]) -> QuerySet[RoomTask]:
    held = {"is_hold_point": True, "is_withdrawn": False, "package__stage__in": COVERED_STAGES}
    return RoomTask.objects.filter(package__job_id__in=job_pks, **held)


def _unseen_rooms(job_pks: set[int]) -> QuerySet[Room]:
    ticked = _hold_points(job_pks).filter(room_id=OuterRef("pk"), code=CENTRES_LINE, done_share__gte=1, not_needed="")
    photos = Photo.objects.filter(room_id=OuterRef("pk"), stage=Stage.FIRST_FIX)
    return Room.objects.filter(Exists(ticked.order_by()), ~Exists(photos), job_id__in=job_pks).select_related("area")


def _load_recorded(job_pks: set[int]) -> dict[Place, bool]:
    """(job, area) → whether its hold points, centres and dead tests are recorded, for areas that have any hold point.

    What costs more to find out is asked only of jobs in which all that was asked before is recorded somewhere.
    """
    areas = _hold_points(job_pks).order_by().values_list("package__job_id", "package__area_id")
    recorded = {(job, area): missing == 0 for job, area, missing in areas.annotate(missing=Count("pk", filter=NOT_RECORDED))}
    for find_open in (_unmeasured_places, _unseen_places, _untested_places):
        jobs = {job for (job, _), is_recorded in recorded.items() if is_recorded}
        recorded |= {place: False for place in (find_open(jobs) if jobs else ()) if place in recorded}
    return recorded


def _unmeasured_places(job_pks: set[int]) -> set[Place]:
    return set(list_unmeasured(job_pks).order_by().values_list("job_id", "room__area_id").distinct())


def _unseen_places(job_pks: set[int]) -> set[Place]:
    return set(_unseen_rooms(job_pks).values_list("job_id", "area_id"))


def _untested_places(job_pks: set[int]) -> set[Place]:
    return {(row.room.job_id, row.room.area_id) for row in list_untested(job_pks)}


def _is_recorded(visit: Visit, recorded: dict[Place, bool]) -> bool:
    states = [
        is_recorded
        for (job, area), is_recorded in recorded.items()
        if job == visit.job_id and visit.area_id in (None, area)
    ]
    return bool(states) and all(states)

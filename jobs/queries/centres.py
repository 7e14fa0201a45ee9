"""Centres of a room's points as they were measured on site."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from jobs.core.centres import Centre, Said, Sketch, Wall, draw_sketch, settle
from jobs.models import Point, Room, RoomTask, SiteOperation

CENTRES_LINE = "check:F8"
"""The line of first fix that asks for photos and centres."""


@dataclass(frozen=True)
class CentreRow:
    """A point by its number on the sketch, with the centre that stands and those said before it."""

    number: int
    point: Point
    said: Said | None
    before: tuple[Said, ...] = ()

    @property
    def name(self) -> str:
        return f"{self.number} {self.point.label or self.point.kind.name}"


def load_centres(room: Room) -> list[CentreRow]:
    """Every ceiling point of the room, and any other whose centre was measured."""
    points = list(room.points.filter(is_dropped=False).select_related("kind").order_by("pk"))
    said = _load_said(points)
    shown = [point for point in points if point.kind.is_ceiling or said[str(point.uid)]]
    return [_row(number, point, said[str(point.uid)]) for number, point in enumerate(shown, 1)]


def list_unmeasured(job_pks: Collection[int]) -> QuerySet[Point]:
    """Ceiling points nobody has measured yet, room by room; none of a room where that line is not needed."""
    measured = _measurements().filter(job_id=OuterRef("job_id"), subject=OuterRef("uid"))
    lines = RoomTask.objects.filter(room_id=OuterRef("room_id"), code=CENTRES_LINE, is_withdrawn=False)
    rows = Point.objects.filter(job_id__in=job_pks, is_dropped=False, kind__is_ceiling=True)
    rows = rows.filter(~Exists(measured), ~Exists(lines.exclude(not_needed="")))
    return rows.select_related("kind", "room__area").order_by("room__area__position", "room__position", "room_id", "pk")


def keep_unmeasured(room: Room, rows: Iterable[CentreRow]) -> list[CentreRow]:
    """Those of the room's rows that its cover-up waits for."""
    waiting = set(list_unmeasured({room.job_id}).filter(room=room).values_list("pk", flat=True))
    return [row for row in rows if row.point.pk in waiting]


def draw_room(room: Room, rows: Iterable[CentreRow]) -> Sketch | None:
    """The room's sketch; None while the survey does not say how large it is."""
    if not room.length_metres or not room.width_metres:
        return None
    centres = [(row.number, row.said.centre) for row in rows if row.said]
    return draw_sketch(int(room.length_metres * 1000), int(room.width_metres * 1000), centres)


def _row(number: int, point: Point, said: list[Said]) -> CentreRow:
    stands = settle(said)
    return CentreRow(number, point, stands, tuple(one for one in said if one is not stands))


def _load_said(points: Iterable[Point]) -> dict[str, list[Said]]:
    found: dict[str, list[Said]] = defaultdict(list)
    asked = list(points)
    rows = _measurements().filter(job_id__in={point.job_id for point in asked}, subject__in=[point.uid for point in asked])
    for row in rows.select_related("person", "user").order_by("corrected_at", "op_id"):
        found[str(row.subject)].append(_said(row))
    return found


def _measurements() -> QuerySet[SiteOperation]:
    return SiteOperation.objects.filter(kind="measure", outcome=SiteOperation.Outcome.APPLIED)


def _said(row: SiteOperation) -> Said:
    given = row.payload
    centre = Centre(Wall(given["wall_1"]), given["from_1_mm"], Wall(given["wall_2"]), given["from_2_mm"])
    return Said(str(row.op_id), row.corrected_at, str(row.person or row.user.get_full_name()), centre)

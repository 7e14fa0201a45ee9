"""Centres of a room's points as they were measured on site."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.core.centres import Centre, Said, Sketch, Wall, draw_sketch, settle
from jobs.models import Point, Room, SiteOperation


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


def list_unmeasured(job_pk: int, area_pk: int | None = None) -> list[Point]:
    """Ceiling points nobody has measured yet, of an area or of the house, room by room."""
    points = Point.objects.filter(job_id=job_pk, is_dropped=False, kind__is_ceiling=True).select_related("kind", "room")
    if area_pk:
        points = points.filter(room__area_id=area_pk)
    points = list(points.order_by("room__area__position", "room__position", "room_id", "pk"))
    said = _load_said(points)
    return [point for point in points if not said[str(point.uid)]]


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
    rows = SiteOperation.objects.filter(
        subject__in=[point.uid for point in points], kind="measure", outcome=SiteOperation.Outcome.APPLIED
    )
    for row in rows.select_related("person", "user").order_by("corrected_at", "op_id"):
        found[str(row.subject)].append(_said(row))
    return found


def _said(row: SiteOperation) -> Said:
    given = row.payload
    centre = Centre(Wall(given["wall_1"]), given["from_1_mm"], Wall(given["wall_2"]), given["from_2_mm"])
    return Said(str(row.op_id), row.corrected_at, str(row.person or row.user.get_full_name()), centre)

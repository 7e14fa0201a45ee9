"""A sketch of a house's floors: rooms, joists, points and the routes of its circuits, laid out in pixels.

The front of the house is at the foot of the sketch. Points stand where the take-off takes them to be, not where anybody
measured them.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from jobs.core.cable_runs import board_stop
from jobs.core.cable_ways import JOIST_CENTRES_METRES, Box, Place, lay_way
from jobs.core.catalogue import Catalogue
from jobs.core.circuit_routes import place_points
from jobs.core.circuit_takeoff import CircuitCable
from jobs.core.stages import JoistRun
from jobs.core.takeoff import BOARD_POINT, HouseSurvey, RoomSurvey

PIXELS_PER_METRE = 60
EDGE = 24
LETTER_WIDTH = 10
"""A bold letter of a room's name, on average and with some to spare."""

Line = tuple[int, int, int, int]


@dataclass(frozen=True)
class RoomShape:
    """A room as a rectangle: its upper left corner and size in pixels, and a line for each joist."""

    name: str
    x: int
    y: int
    width: int
    height: int
    joists: tuple[Line, ...]


@dataclass(frozen=True)
class PointMark:
    """A point; `is_on_route` when the circuit shown feeds it."""

    x: int
    y: int
    title: str
    is_ceiling: bool
    is_on_route: bool


@dataclass(frozen=True)
class RouteLine:
    """Cable on this floor as the corners of a line; a branch is a switch drop or the like."""

    reference: str
    corners: str
    is_branch: bool


@dataclass(frozen=True)
class Floor:
    """A storey's sketch, `width` by `height` pixels; `level` 0 is the ground floor, `board` the consumer unit's place if here."""

    level: int
    width: int
    height: int
    rooms: tuple[RoomShape, ...]
    points: tuple[PointMark, ...]
    routes: tuple[RouteLine, ...]
    board: tuple[int, int] | None


@dataclass(frozen=True)
class _Frame:
    """From the house's metres to pixels; the same for every floor, so that they can be compared."""

    left: Decimal
    back: Decimal
    width: int
    height: int

    def at(self, place: Place) -> tuple[int, int]:
        x, y = place
        return round((x - self.left) * PIXELS_PER_METRE) + EDGE, round((self.back - y) * PIXELS_PER_METRE) + EDGE


def sketch_floors(
    house: HouseSurvey, catalogue: Catalogue, cables: Iterable[CircuitCable], *, shown: str = ""
) -> list[Floor]:
    """Every storey with rooms on the grid, from the top; `shown` is the circuit whose route alone is drawn, "" is all."""
    placed = [room for room in house.rooms if room.box]
    if not placed:
        return []
    frame, boxes = _frame(placed), [room.box for room in placed]
    lines = [line for cable in cables if shown in ("", cable.circuit.reference) for line in _lines(cable, boxes, frame)]
    levels = sorted({box.level for box in boxes}, reverse=True)
    return [_floor(level, placed, house, catalogue, frame, lines, shown) for level in levels]


def _floor(
    level: int, rooms: list[RoomSurvey], house: HouseSurvey, catalogue: Catalogue, frame: _Frame,
    lines: list[tuple[int, RouteLine]], shown: str,
) -> Floor:
    own = [room for room in rooms if room.box.level == level]
    board = house.known_board_room
    has_board = board is not None and board.box is not None and board.box.level == level
    return Floor(
        level, frame.width, frame.height,
        rooms=tuple(_shape(room, frame) for room in own),
        points=tuple(mark for room in own for mark in _marks(room, catalogue, frame, shown)),
        routes=tuple(line for at, line in lines if at == level),
        board=frame.at(board_stop(board.box).place) if has_board else None,
    )


def _frame(rooms: list[RoomSurvey]) -> _Frame:
    """As wide as the house, and as the names that start in its rooms."""
    boxes = [room.box for room in rooms]
    left, front = min(box.x for box in boxes), min(box.y for box in boxes)
    right, back = max(box.x + box.length for box in boxes), max(box.y + box.width for box in boxes)
    names = ((room.box.x - left) * PIXELS_PER_METRE + len(room.name) * LETTER_WIDTH for room in rooms)
    width, height = max((right - left) * PIXELS_PER_METRE, *names), (back - front) * PIXELS_PER_METRE
    return _Frame(left, back, round(width) + 2 * EDGE, round(height) + 2 * EDGE)


def _shape(room: RoomSurvey, frame: _Frame) -> RoomShape:
    box = room.box
    x, y = frame.at((box.x, box.y + box.width))
    right, foot = frame.at((box.x + box.length, box.y))
    return RoomShape(room.name, x, y, right - x, foot - y, tuple(_joists(box, frame)))


def _joists(box: Box, frame: _Frame) -> Iterator[Line]:
    """Every joist of a room at its usual distance; none while their way is not known."""
    if box.joists is None:
        return
    across = box.width if box.joists == JoistRun.ALONG_X else box.length
    for number in range(1, int(across / JOIST_CENTRES_METRES) + 1):
        off = number * JOIST_CENTRES_METRES
        if off < across:
            ends = (
                ((box.x, box.y + off), (box.x + box.length, box.y + off)) if box.joists == JoistRun.ALONG_X
                else ((box.x + off, box.y), (box.x + off, box.y + box.width))
            )
            yield (*frame.at(ends[0]), *frame.at(ends[1]))


def _marks(room: RoomSurvey, catalogue: Catalogue, frame: _Frame, shown: str) -> Iterator[PointMark]:
    for point, places in place_points(room, catalogue):
        kind = catalogue.kinds[point.kind]
        if point.kind != BOARD_POINT:
            for place in places:
                title = f"{kind.name}, {point.circuit or 'no circuit'}"
                yield PointMark(*frame.at(place), title, kind.is_ceiling, bool(shown) and point.circuit == shown)


def _lines(cable: CircuitCable, boxes: list[Box], frame: _Frame) -> Iterator[tuple[int, RouteLine]]:
    """(level, line) of a circuit's own cable and of its branches."""
    reference = cable.circuit.reference
    for way in cable.route.ways if cable.route else ():
        yield way.level, RouteLine(reference, _corners(way.corners, frame), False)
    for branch in cable.branches:
        for stops in branch.stops:
            for a, b in pairwise(stops):
                way = lay_way(a.place, b.place, b.level, boxes)
                yield way.level, RouteLine(reference, _corners(way.corners, frame), True)


def _corners(places: Iterable[Place], frame: _Frame) -> str:
    return " ".join(f"{x},{y}" for x, y in map(frame.at, places))

"""Routes of a surveyed house's circuits, where the rooms' places on the grid are known.

Points stand evenly round their room, in the order they were surveyed, as nobody measures where each one is.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cable_runs import (
    OVERHEAD,
    SWITCH_HEIGHT_METRES,
    WALL_LIGHT_HEIGHT_METRES,
    Route,
    Stop,
    board_stop,
    ceiling_place,
    find_route,
    metres_between,
    stop_at,
    wall_place,
)
from jobs.core.cable_ways import STOREY_METRES, Place
from jobs.core.catalogue import Catalogue
from jobs.core.stages import RoomKind
from jobs.core.takeoff import CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey


@dataclass(frozen=True)
class PlacedPoint:
    """A point and where its cable meets it: at one stop, or at two for a pair of switches."""

    room: RoomSurvey
    point: PointSurvey
    stops: tuple[Stop, ...]


@dataclass(frozen=True)
class Branch:
    """Cable to a point that the circuit's own cable does not reach: a switch drop from its light, a pair's link.

    `stops` start with the one it leaves from; `metres` with drops and slack, without waste.
    """

    room: RoomSurvey
    kind: str
    stops: tuple[Stop, ...]
    metres: Decimal


def route_circuit(circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue) -> Route | None:
    """The circuit's route; None when the board or a room with one of its points has no place on the grid."""
    board = house.known_board_room
    rooms = [room for room in house.rooms if any(_is_on(point, circuit, catalogue) for point in room.points)]
    if board is None or not rooms or any(room.box is None for room in (board, *rooms)):
        return None
    stops = [stop for room in rooms for stop in _stops_on(room, circuit, catalogue)]
    boxes = [room.box for room in house.rooms if room.box]
    return find_route(circuit.kind, board_stop(board.box), stops, slack_metres=catalogue.slack_metres, boxes=boxes)


def list_stops(circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue) -> list[tuple[RoomSurvey, str]]:
    """Room and kind of point of each stop of a circuit's route, in the order in which the route counts them."""
    placed = (
        one for room in house.rooms if room.box for one in _placed(room, circuit, catalogue)
        if catalogue.kinds[one.point.kind].cable_ends > 0
    )
    return [(one.room, one.point.kind) for one in placed]


def list_branches(circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue) -> list[Branch]:
    """Each point of the circuit that is fed from another, from the nearest in its room; none of a circuit without route."""
    route = route_circuit(circuit, house, catalogue)
    if route is None:
        return []
    rooms = [room for room in house.rooms if room.box and any(point.circuit == circuit.reference for point in room.points)]
    return [branch for room in rooms for branch in _branches_in(room, route, circuit, house, catalogue)]


def place_points(room: RoomSurvey, catalogue: Catalogue) -> Iterator[tuple[PointSurvey, tuple[Place, ...]]]:
    """Every point of a room on the grid with its place, or places for a pair; those on walls first."""
    for is_ceiling in (False, True):
        points = [point for point in room.points if catalogue.kinds[point.kind].is_ceiling == is_ceiling]
        find_place = ceiling_place if is_ceiling else wall_place
        count, number = sum(catalogue.kinds[point.kind].places for point in points), 0
        for point in points:
            places = range(number, number + catalogue.kinds[point.kind].places)
            yield point, tuple(find_place(room.box, place, count) for place in places)
            number = places.stop


def _branches_in(
    room: RoomSurvey, route: Route, circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue
) -> Iterator[Branch]:
    riser = route.places[0]
    nearby = list(_stops_on(room, circuit, catalogue)) or list(route.places[1:])
    for placed in _placed(room, circuit, catalogue):
        if catalogue.kinds[placed.point.kind].cable_ends == 0:
            first = min(nearby, key=lambda stop: metres_between(stop, placed.stops[0], riser, Decimal(0)))
            stops = (first, *placed.stops)
            metres = _branch_metres(stops, riser, catalogue.slack_metres)
            spans_storeys = len(placed.stops) > 1 and room.kind == RoomKind.HALL and house.has_storeys
            yield Branch(room, placed.point.kind, stops, metres + (STOREY_METRES if spans_storeys else 0))


def _branch_metres(stops: tuple[Stop, ...], riser: Stop, slack_metres: Decimal) -> Decimal:
    """From each stop up, over and down to the next, with slack at both ends; it leaves the first from its void."""
    total = Decimal(0)
    for number in range(1, len(stops)):
        a, b = stops[number - 1], stops[number]
        total += a.drop_metres + metres_between(a, b, riser, slack_metres) + b.drop_metres + 2 * slack_metres
    return total


def _stops_on(room: RoomSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> Iterator[Stop]:
    for placed in _placed(room, circuit, catalogue):
        if catalogue.kinds[placed.point.kind].cable_ends > 0:
            yield placed.stops[0]


def _is_on(point: PointSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> bool:
    return point.circuit == circuit.reference and catalogue.kinds[point.kind].cable_ends > 0


def _placed(room: RoomSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> Iterator[PlacedPoint]:
    """The circuit's points in a room, those on walls first."""
    for point, places in place_points(room, catalogue):
        if point.circuit == circuit.reference:
            stops = (
                stop_at(
                    room.box, place, kind=circuit.kind, floor=room.floor, is_ceiling=catalogue.kinds[point.kind].is_ceiling,
                    height_metres=_height(point, circuit, catalogue), is_loft=room.kind == RoomKind.LOFT,
                )
                for place in places
            )
            yield PlacedPoint(room, point, tuple(stops))


def _height(point: PointSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> Decimal:
    """As surveyed; else a wall light's or a switch's, or the usual drop of the circuit, a socket's height."""
    if point.height_metres is not None:
        return point.height_metres
    if catalogue.kinds[point.kind].cable_ends == 0:
        return SWITCH_HEIGHT_METRES
    return WALL_LIGHT_HEIGHT_METRES if circuit.kind in OVERHEAD else catalogue.circuits[circuit.kind].averages.drop_metres

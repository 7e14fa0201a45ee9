"""Routes of a surveyed house's circuits, where the rooms' places on the grid are known."""

from collections.abc import Iterator
from decimal import Decimal

from jobs.core.cable_runs import (
    OVERHEAD,
    WALL_LIGHT_HEIGHT_METRES,
    Route,
    Stop,
    board_stop,
    ceiling_place,
    find_route,
    stop_at,
    wall_place,
)
from jobs.core.takeoff import Catalogue, CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey


def route_circuit(circuit: CircuitSurvey, house: HouseSurvey, catalogue: Catalogue) -> Route | None:
    """The circuit's route; None when the board or a room with one of its points has no place on the grid.

    Points stand evenly round their room, in the order they were surveyed, as nobody measures where each one is.
    """
    board = house.known_board_room
    rooms = [room for room in house.rooms if any(_is_on(point, circuit, catalogue) for point in room.points)]
    if board is None or not rooms or any(room.box is None for room in (board, *rooms)):
        return None
    stops = [stop for room in rooms for stop in _stops(room, circuit, catalogue)]
    return find_route(circuit.kind, board_stop(board.box), stops, slack_metres=catalogue.slack_metres)


def _is_on(point: PointSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> bool:
    return point.circuit == circuit.reference and catalogue.kinds[point.kind].cable_ends > 0


def _stops(room: RoomSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> Iterator[Stop]:
    for is_ceiling in (False, True):
        points = [point for point in room.points if catalogue.kinds[point.kind].is_ceiling == is_ceiling]
        find_place = ceiling_place if is_ceiling else wall_place
        for number, point in enumerate(points):
            if _is_on(point, circuit, catalogue):
                yield stop_at(
                    room.box, find_place(room.box, number, len(points)), kind=circuit.kind, floor=room.floor,
                    is_ceiling=is_ceiling, height_metres=_height(point, circuit, catalogue),
                )


def _height(point: PointSurvey, circuit: CircuitSurvey, catalogue: Catalogue) -> Decimal:
    """As surveyed; else a wall light's, or the usual drop of the circuit, which is a socket's height above its floor."""
    if point.height_metres is not None:
        return point.height_metres
    return WALL_LIGHT_HEIGHT_METRES if circuit.kind in OVERHEAD else catalogue.circuits[circuit.kind].averages.drop_metres

from decimal import Decimal as D

import pytest

from jobs.core.cable_runs import Box, Stop, board_stop, ceiling_place, find_route, stop_at, wall_place
from jobs.core.stages import CircuitKind, FloorKind

ROOM = Box(D(0), D(0), D(4), D(2))
UPSTAIRS = Box(D(0), D(0), D(4), D(2), level=1)
SLACK = D("0.30")


def _stop(x, y, at="0", drop="0.45"):
    return Stop(D(x), D(y), D(at), D(drop))


def test_sockets_stand_evenly_round_the_room_when_there_are_four():
    # Round 12 m: at 1.5, 4.5, 7.5 and 10.5 m.
    places = [wall_place(ROOM, number, 4) for number in range(4)]
    assert places == [(D("1.5"), 0), (4, D("0.5")), (D("2.5"), 2), (0, D("1.5"))]


@pytest.mark.parametrize(("count", "places"), [(1, [(2, 1)]), (2, [(1, 1), (3, 1)])])
def test_lights_hang_along_the_middle_when_a_room_has_several(count, places):
    assert [ceiling_place(ROOM, number, count) for number in range(count)] == places


def test_lights_follow_the_long_side_when_the_room_is_deep():
    assert ceiling_place(Box(D(0), D(0), D(2), D(4)), 1, 2) == (1, 3)


def _socket(floor, kind=CircuitKind.RING, box=ROOM):
    return stop_at(box, (D(1), D(0)), kind=kind, floor=floor, is_ceiling=False, height_metres=D("0.45"))


def test_cable_comes_up_from_below_when_the_floor_is_timber():
    assert _socket(FloorKind.TIMBER) == Stop(D(1), D(0), D(0), D("0.45"))


def test_cable_comes_down_from_the_ceiling_when_the_floor_is_solid():
    assert _socket(FloorKind.SOLID) == Stop(D(1), D(0), D("2.40"), D("1.95"))


def test_ceiling_point_has_no_drop_when_its_cable_runs_above_it():
    stop = stop_at(
        UPSTAIRS, (D(2), D(1)), kind=CircuitKind.LIGHTING, floor=FloorKind.TIMBER, is_ceiling=True, height_metres=D(0)
    )
    assert (stop.at, stop.drop_metres) == (D("5.10"), 0)


def test_ring_is_measured_there_and_back_when_routed():
    # Board at (0, 0) 1.5 m up; sockets at (4, 0) and (4, 3) under the floor.
    route = find_route(CircuitKind.RING, _stop(0, 0, "1.5"), [_stop(4, 0), _stop(4, 3)], slack_metres=SLACK)
    # Down 1.5 + 4, across 3, then back 3 + 4 with a corner and up 1.5.
    assert route.run.floor_metres == D("5.5") + 3 + 7 + D("0.3") + D("1.5")
    assert (route.run.vertical_metres, route.run.slack_ends, route.run.board_ends) == (D("1.8"), 4, 2)


def test_radial_takes_the_nearer_point_first_when_given_in_any_order():
    route = find_route(CircuitKind.RADIAL, _stop(0, 0, "0"), [_stop(6, 0), _stop(2, 0)], slack_metres=SLACK)
    assert route.stops == (1, 0)
    assert (route.run.floor_metres, route.run.vertical_metres, route.run.slack_ends) == (6, D("1.35"), 3)


def test_bonding_runs_to_each_pipe_by_itself_when_there_are_two():
    route = find_route(CircuitKind.BONDING, _stop(0, 0, "0"), [_stop(3, 0), _stop(0, 5)], slack_metres=SLACK)
    assert (route.run.floor_metres, route.run.board_ends, route.run.slack_ends) == (8, 2, 2)


def test_cable_rises_at_the_board_when_points_are_on_two_storeys():
    route = find_route(
        CircuitKind.ALARMS, _stop(0, 0, "1.5"), [_stop(3, 0, "2.4", "0"), _stop(3, 0, "5.1", "0")], slack_metres=SLACK
    )
    # 0.9 up and 3 along; back 3, 2.7 up and 3 along.
    assert route.run.floor_metres == D("12.6")


def test_board_hangs_on_a_wall_when_its_room_is_known():
    assert board_stop(UPSTAIRS).at == D("4.20")

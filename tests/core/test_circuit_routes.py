from dataclasses import replace
from decimal import Decimal as D

import pytest

from jobs.core.cable import Averages
from jobs.core.cable_ways import Box
from jobs.core.catalogue import Catalogue, CircuitRecipe, PointKind
from jobs.core.circuit_routes import list_branches, list_stops, place_points, route_circuit
from jobs.core.stages import CircuitKind, RoomKind
from jobs.core.takeoff import CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey

AVERAGES = Averages(D(6), D(4), D("0"), D("1.5"))
CATALOGUE = Catalogue(
    kinds={
        "light": PointKind("light", "Light", is_ceiling=True),
        "switch": PointKind("switch", "Switch", 0),
        "pair": PointKind("pair", "Two-way pair", 0, places=2),
        "consumer-unit": PointKind("consumer-unit", "Board", 0),
    },
    circuits={CircuitKind.LIGHTING: CircuitRecipe("flat-1.5", AVERAGES)},
)
LIGHTS = CircuitSurvey("L1", "Lights", CircuitKind.LIGHTING)
HALL = RoomSurvey(
    1, 10, "Hall", RoomKind.HALL, points=(PointSurvey("consumer-unit"), PointSurvey("light", "L1")),
    box=Box(D(0), D(0), D(4), D(4)),
)


def _house(*points, upstairs=False, kind=RoomKind.HALL):
    hall = replace(HALL, kind=kind, points=HALL.points + tuple(PointSurvey(one, "L1") for one in points))
    landing = RoomSurvey(2, 20, "Landing", RoomKind.HALL, box=Box(D(0), D(0), D(4), D(4), level=1))
    return HouseSurvey((hall, landing) if upstairs else (hall,), (LIGHTS,))


def test_switch_is_fed_from_its_light_when_its_room_has_a_place():
    (branch,) = list_branches(LIGHTS, _house("switch"), CATALOGUE)
    # Light (2, 2). Board and switch are the wall's two points: the switch at 12 of 16 m round, (0, 4): 2 + 2, a corner;
    # down 2.4 - 1.2; two ends of slack.
    assert branch.metres == D("4") + D("0.3") + D("1.2") + D("0.6")


def test_pair_is_linked_when_both_switches_are_in_a_room():
    (branch,) = list_branches(LIGHTS, _house("pair", kind=RoomKind.LOUNGE), CATALOGUE)
    assert len(branch.stops) == 3


def test_link_climbs_a_storey_when_a_pair_hangs_in_the_hall_of_two():
    (flat,) = list_branches(LIGHTS, _house("pair"), CATALOGUE)
    (tall,) = list_branches(LIGHTS, _house("pair", upstairs=True), CATALOGUE)
    assert tall.metres - flat.metres == D("2.70")


def test_nothing_branches_when_the_board_has_no_place():
    house = HouseSurvey((replace(HALL, box=None),), (LIGHTS,))
    assert list_branches(LIGHTS, house, CATALOGUE) == []


def test_stops_are_named_in_the_routes_order_when_listed():
    assert [(room.name, kind) for room, kind in list_stops(LIGHTS, _house(), CATALOGUE)] == [("Hall", "light")]


def test_each_of_a_pair_has_a_place_when_points_are_placed():
    room = _house("pair").rooms[0]
    assert [len(places) for _, places in place_points(room, CATALOGUE)] == [1, 2, 1]


def test_loft_lights_are_reached_over_its_floor_when_routed():
    loft = RoomSurvey(
        3, 30, "Loft", RoomKind.LOFT, points=(PointSurvey("light", "L1"),), box=Box(D(0), D(0), D(4), D(4), D(2), level=1)
    )
    house = replace(_house(), rooms=(*_house().rooms, loft))
    route = route_circuit(LIGHTS, house, CATALOGUE)
    # From the board (4, 4) up 0.9, 2 + 2 and a corner; the hall's ceiling and the loft's floor are one void, 0.3 apart.
    assert route.places[2].drop_metres == 2
    assert route.run.floor_metres == D("0.9") + D("4.3") + D("0.3")


@pytest.mark.parametrize("height", ["2.4", "2.8"])
def test_uneven_ceilings_are_one_void_when_they_lie_near(height):
    lounge = replace(HALL, key=4, points=(PointSurvey("light", "L1"),), box=Box(D(4), D(0), D(4), D(4), D(height)))
    route = route_circuit(LIGHTS, replace(_house(), rooms=(*_house().rooms, lounge)), CATALOGUE)
    assert route.run.floor_metres == D("0.9") + D("4.3") + 4 + abs(D(height) - D("2.4"))

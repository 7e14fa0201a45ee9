from dataclasses import replace
from decimal import Decimal as D

from jobs.core.cable import Averages
from jobs.core.cable_ways import Box
from jobs.core.catalogue import Catalogue, CircuitRecipe, PointKind
from jobs.core.circuit_takeoff import list_circuit_cables
from jobs.core.floor_sketch import EDGE, PIXELS_PER_METRE, sketch_floors
from jobs.core.stages import CircuitKind, JoistRun
from jobs.core.takeoff import CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey

AVERAGES = Averages(D(6), D(4), D("0.5"), D("1.5"))
CATALOGUE = Catalogue(
    kinds={"socket": PointKind("socket", "Socket"), "consumer-unit": PointKind("consumer-unit", "Board", 0)},
    circuits={CircuitKind.RING: CircuitRecipe("flat", AVERAGES)},
)
GROUND = RoomSurvey(
    1, 10, "Hall", points=(PointSurvey("consumer-unit"), PointSurvey("socket", "R1")),
    box=Box(D(0), D(0), D(4), D(2), joists=JoistRun.ALONG_X),
)
UPSTAIRS = RoomSurvey(2, 20, "Landing", points=(PointSurvey("socket", "R2"),), box=Box(D(0), D(2), D(4), D(2), level=1))
CIRCUITS = tuple(CircuitSurvey(reference, "Sockets", CircuitKind.RING) for reference in ("R1", "R2"))
HOUSE = HouseSurvey((GROUND, UPSTAIRS), CIRCUITS)


def _sketch(house=HOUSE, shown=""):
    return sketch_floors(house, CATALOGUE, list_circuit_cables(house, CATALOGUE), shown=shown)


def test_front_of_the_house_is_at_the_foot_when_floors_are_drawn():
    upper, lower = _sketch()
    assert (upper.level, lower.level) == (1, 0)
    assert (upper.rooms[0].y, lower.rooms[0].y) == (EDGE, EDGE + 2 * PIXELS_PER_METRE)


def test_joists_are_drawn_when_their_way_is_known():
    upper, lower = _sketch()
    # Every 0.40 m of a room 2 m deep: 4 between its walls.
    assert (len(lower.rooms[0].joists), len(upper.rooms[0].joists)) == (4, 0)


def test_board_is_on_its_own_floor_only_when_drawn():
    upper, lower = _sketch()
    assert (upper.board is None, lower.board is None) == (True, False)


def test_one_circuit_is_drawn_and_its_points_filled_when_it_is_picked():
    upper, lower = _sketch(shown="R1")
    assert {line.reference for line in (*upper.routes, *lower.routes)} == {"R1"}
    assert ([point.is_on_route for point in lower.points], [point.is_on_route for point in upper.points]) == ([True], [False])


def test_route_is_drawn_on_each_floor_when_it_climbs_a_storey():
    upper, _ = _sketch(shown="R2")
    assert {line.reference for line in upper.routes} == {"R2"}


def test_nothing_is_drawn_when_no_room_has_a_place():
    assert _sketch(HouseSurvey((replace(GROUND, box=None),), CIRCUITS)) == []


def test_long_name_fits_on_the_sketch_when_its_room_is_narrow():
    cupboard = RoomSurvey(3, 10, "Under the stairs", box=Box(D(4), D(0), D(1), D(2)))
    (_, lower) = _sketch(replace(HOUSE, rooms=(*HOUSE.rooms, cupboard)))
    # Its name starts 4 m in, and has 16 letters of about 10 pixels.
    assert lower.width >= 4 * PIXELS_PER_METRE + 160

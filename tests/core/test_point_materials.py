from dataclasses import replace
from decimal import Decimal as D

import pytest

from jobs.core.cable import Averages
from jobs.core.catalogue import Catalogue, CircuitRecipe, PointKind, Recipe, Swap
from jobs.core.point_materials import count_ways, find_unit, list_point_materials
from jobs.core.stages import CircuitKind, DropCover, Stage, WallKind
from jobs.core.takeoff import CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey, sum_materials

NO_RUNS = Averages(D(0), D(0), D(0), D(0))
CATALOGUE = Catalogue(
    kinds={
        "socket": PointKind("socket", "Socket"), "switch": PointKind("switch", "Switch", 0),
        "consumer-unit": PointKind("consumer-unit", "Board", 0),
    },
    recipes=(
        Recipe("socket", Stage.FIRST_FIX, "capping", D(2)),
        Recipe("socket", Stage.FIRST_FIX, "nail", D(12)),
        Recipe("socket", Stage.SECOND_FIX, "plate", D(1)),
        Recipe("switch", Stage.FIRST_FIX, "three-core", D(4)),
        Recipe("switch", Stage.SECOND_FIX, "switch-2g", D(1)),
        Recipe("consumer-unit", Stage.SECOND_FIX, "board-18", D(1)),
        Recipe("consumer-unit", Stage.SECOND_FIX, "board-blank", D(3)),
    ),
    circuits={
        CircuitKind.RING: CircuitRecipe("flat", NO_RUNS, device="rcbo"),
        CircuitKind.BONDING: CircuitRecipe("earth", NO_RUNS),
    },
    live_mm2={"flat": D("2.5"), "three-core": D("1.5")},
    ways={"board-6": 6, "board-10": 10, "board-18": 18},
    swaps=(
        Swap("tube", "capping", "tube", D(1)), Swap("conduit", "capping", "bush", D(1)), Swap("conduit", "nail", "nail", D(0)),
        Swap("grid", "switch-2g", "frame", D(1)), Swap("grid", "switch-2g", "module", D(2)),
    ),
)


def _house(*points, circuits=1, **fields):
    room = RoomSurvey(1, 10, "Hall", points=tuple(PointSurvey(*point) for point in points), **fields)
    return HouseSurvey((room,), tuple(CircuitSurvey(f"R{one}", "Ring", CircuitKind.RING) for one in range(1, circuits + 1)))


def _taken(house):
    return {item: quantity for (_, _, item), quantity in sum_materials(list_point_materials(house, CATALOGUE)).items()}


@pytest.mark.parametrize(
    ("cover", "taken"),
    [
        (DropCover.CAPPING, {"capping": 2, "nail": 12, "plate": 1}),
        (DropCover.TUBE, {"tube": 2, "nail": 12, "plate": 1}),
        (DropCover.CONDUIT, {"bush": 2, "plate": 1}),
    ],
)
def test_drops_take_what_their_cover_needs_when_walls_are_masonry(cover, taken):
    assert _taken(_house(("socket", "R1"), drop_cover=cover)) == taken


def test_cover_changes_nothing_when_walls_are_stud():
    house = _house(("socket", "R1"), drop_cover=DropCover.CONDUIT, wall=WallKind.STUD)
    assert _taken(house) == {"capping": 2, "nail": 12, "plate": 1}


def test_switch_takes_a_module_for_each_gang_when_the_range_is_modular():
    house = replace(_house(("switch", "R1")), accessory_range="grid")
    assert _taken(house) == {"frame": 1, "module": 2}


def test_recipe_stands_when_the_range_swaps_nothing():
    assert _taken(replace(_house(("switch", "R1")), accessory_range="plain")) == {"switch-2g": 1}


@pytest.mark.parametrize(
    ("circuits", "ways", "unit"), [(5, 6, ("board-6", 6)), (6, 8, ("board-10", 10)), (16, 20, ("board-18", 18))]
)
def test_board_has_spare_ways_rounded_up_when_it_has_room(circuits, ways, unit):
    house = _house(*[("socket", f"R{one}") for one in range(1, circuits + 1)], circuits=circuits)
    assert (count_ways(house, CATALOGUE), find_unit(house, CATALOGUE)) == (ways, unit)


def test_blanks_close_the_ways_left_when_a_board_is_fitted():
    house = _house(("socket", "R1"), ("socket", "R2"), ("consumer-unit",), circuits=2)
    taken = _taken(house)
    assert (taken["board-6"], taken["board-blank"]) == (1, 4)


def test_circuit_takes_no_way_when_its_kind_has_no_device():
    house = replace(_house(("socket", "B1")), circuits=(CircuitSurvey("B1", "Bond", CircuitKind.BONDING),))
    assert count_ways(house, CATALOGUE) == 0

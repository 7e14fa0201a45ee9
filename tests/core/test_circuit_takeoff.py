from dataclasses import replace
from decimal import Decimal as D

from jobs.core.cable import Averages
from jobs.core.circuit_takeoff import list_circuit_cables, list_circuit_materials, list_unwired
from jobs.core.stages import CircuitKind, Stage, WallKind
from jobs.core.takeoff import Catalogue, CircuitRecipe, CircuitSurvey, HouseSurvey, PointKind, PointSurvey, RoomSurvey

AVERAGES = Averages(D(6), D(4), D("0.5"), D("1.5"))
CATALOGUE = Catalogue(
    kinds={"socket": PointKind("socket", "Socket"), "switch": PointKind("switch", "Switch", 0),
           "consumer-unit": PointKind("consumer-unit", "Board", 0)},
    circuits={CircuitKind.RING: CircuitRecipe("flat-2.5", AVERAGES, "clip-2.5", "rcbo-32"),
              CircuitKind.LIGHTING: CircuitRecipe("flat-1.5", AVERAGES, "clip-1.5", "rcbo-6")},
    live_mm2={"flat-2.5": D("2.5"), "flat-1.5": D("1.5")},
    waste_percent=D(0),
)
HALL = RoomSurvey(1, 10, "Hall", points=(PointSurvey("consumer-unit"), *[PointSurvey("socket", "R1")] * 2))
BEDROOM = RoomSurvey(2, 20, "Bedroom", points=(PointSurvey("socket", "R1"), PointSurvey("switch", "R1")))
RING = CircuitSurvey("R1", "Sockets", CircuitKind.RING)
HOUSE = HouseSurvey((HALL, BEDROOM), (RING,))


def _of(item, house=HOUSE):
    return {material.room: material.quantity for material in list_circuit_materials(house, CATALOGUE) if material.item == item}


def test_cable_is_shared_by_points_when_a_circuit_crosses_areas():
    # 2 × 6 + 2 × 4 run, 6 × 0.5 drops, 2 × 1.5 legs, 6 × 0.3 slack, 2 × 1 at the board = 29.8
    assert _of("flat-2.5") == {1: D("19.87"), 2: D("9.93")}


def test_measured_length_counts_as_it_is_when_a_person_gave_it():
    house = replace(HOUSE, circuits=(replace(RING, measured_metres=D("41.5")),))
    (cable,) = list_circuit_cables(house, CATALOGUE)
    assert (cable.metres, cable.is_measured) == (D("41.5"), True)


def test_drops_take_clips_when_walls_are_stud():
    (masonry,) = list_circuit_cables(HOUSE, CATALOGUE)
    (stud,) = list_circuit_cables(replace(HOUSE, wall=WallKind.STUD), CATALOGUE)
    # 20 m across at 0.30, then down at 0.40: 3 m of legs, and with the drops 6 m.
    assert (masonry.clips, stud.clips) == (67 + 8, 67 + 15)


def test_clip_fits_the_cable_when_the_circuit_takes_another_one():
    house = replace(HOUSE, circuits=(replace(RING, cable="flat-1.5"),))
    assert list_circuit_cables(house, CATALOGUE)[0].clip == "clip-1.5"


def test_device_goes_into_the_board_when_there_is_a_new_one():
    (device,) = [m for m in list_circuit_materials(HOUSE, CATALOGUE) if m.item == "rcbo-32"]
    assert (device.room, device.stage, device.code) == (1, Stage.SECOND_FIX, "point:consumer-unit")


def test_device_goes_with_the_first_point_when_the_board_stays():
    house = HouseSurvey((BEDROOM,), (RING,))
    (device,) = [m for m in list_circuit_materials(house, CATALOGUE) if m.item == "rcbo-32"]
    assert (device.room, device.code) == (2, "point:socket")


def test_circuit_takes_nothing_when_no_point_hangs_on_it():
    house = replace(HOUSE, circuits=(CircuitSurvey("R9", "Spare", CircuitKind.RING),))
    assert list_circuit_materials(house, CATALOGUE) == []


def test_points_without_circuit_are_told_when_their_cable_cannot_be_counted():
    room = replace(BEDROOM, points=(PointSurvey("socket"), PointSurvey("socket"), PointSurvey("switch")))
    assert list_unwired(HouseSurvey((room,)), CATALOGUE) == [(room, "socket", 2)]

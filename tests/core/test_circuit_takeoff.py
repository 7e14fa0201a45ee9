from dataclasses import replace
from decimal import Decimal as D

from jobs.core.cable import Averages
from jobs.core.cable_runs import Box
from jobs.core.catalogue import Catalogue, CircuitRecipe, PointKind, Recipe
from jobs.core.circuit_takeoff import Basis, list_circuit_cables, list_circuit_materials, list_unwired
from jobs.core.stages import CircuitKind, Stage, WallKind
from jobs.core.takeoff import CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey

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
    materials = list_circuit_materials(house, CATALOGUE)
    return {material.room: material.quantity for material in materials if material.item == item}


def test_cable_is_shared_by_points_when_a_circuit_crosses_areas():
    # 2 × 6 + 2 × 4 run, 6 × 0.5 drops, 2 × 1.5 legs, 6 × 0.3 slack, 2 × 1 at the board = 29.8
    assert _of("flat-2.5") == {1: D("19.87"), 2: D("9.93")}


def test_measured_length_counts_as_it_is_when_a_person_gave_it():
    house = replace(HOUSE, circuits=(replace(RING, measured_metres=D("41.5")),))
    (cable,) = list_circuit_cables(house, CATALOGUE)
    assert (cable.metres, cable.basis) == (D("41.5"), Basis.MEASURED)


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


def test_length_follows_the_route_when_every_room_has_its_place():
    hall = replace(HALL, box=Box(D(0), D(0), D(4), D(2)))
    bedroom = replace(BEDROOM, box=Box(D(4), D(0), D(3), D(2)))
    (cable,) = list_circuit_cables(replace(HOUSE, rooms=(hall, bedroom)), CATALOGUE)
    assert cable.basis == Basis.ROUTE
    # Hall: unit, sockets at 6 and 10 of 12 m round: (4, 2) and (0, 2). Bedroom: socket first of two: (6.5, 0).
    # Board on the wall at (4, 2), 1.5 m up: down 1.5; to (6.5, 0) 4.5, a corner; to (0, 2) 8.5, a corner; home 4 + 1.5.
    # Then 6 drops of 0.5, 6 ends of 0.3, 2 m at the board.
    assert cable.metres == D("20.6") + 3 + D("1.8") + 2


def test_length_falls_back_to_averages_when_a_room_has_no_place():
    hall = replace(HALL, box=Box(D(0), D(0), D(4), D(2)))
    (cable,) = list_circuit_cables(replace(HOUSE, rooms=(hall, BEDROOM)), CATALOGUE)
    assert (cable.basis, cable.metres) == (Basis.AVERAGES, D("29.80"))


def test_branches_share_a_persons_metres_as_they_were_worked_out_when_corrected():
    catalogue = replace(
        CATALOGUE, live_mm2=CATALOGUE.live_mm2 | {"flat-3c": D("1.5")},
        recipes=(Recipe("switch", Stage.FIRST_FIX, "flat-3c", D(4)),),
    )
    hall = replace(HALL, points=(*HALL.points, *[PointSurvey("switch", "R1")] * 2))
    house = HouseSurvey((hall, BEDROOM), (replace(RING, branch_metres=(("flat-3c", D(9)), ("gone", D(5)))),))
    (cable,) = list_circuit_cables(house, catalogue)
    assert [(one.metres, one.basis, one.worked_out[0]) for one in cable.branches] == [
        (6, Basis.CORRECTED, 8), (3, Basis.CORRECTED, 4)
    ]
    assert cable.metres == D("29.80")

"""A house of three rooms on the grid, its cables routed by hand.

Allowances, joists every 0.40 m, heights and every third clip of metal: common practice, no source. Clip spacing is
Whitfield, The Electrician's Guide to the 16th Edition, Table 4.10. Every sum below was done on paper, not by the program.

Plan, metres, all joists from left to right, storey height 2.40:

    Hall 2 × 4 at (0, 0), lounge 4 × 4 at (2, 0), kitchen 4 × 4 at (2, 4). Points stand evenly round their room:
    board (2, 4) 1.5 m up; hall socket (0, 3), light (1, 2); lounge sockets (4, 0) (6, 2) (4, 4), switch (2, 2), light
    (4, 2); kitchen sockets (4, 4) (6, 6), cooker (4, 8), switch (2, 6), light (4, 6).

R1, ring under the floor, a corner costs 0.30:
    board down 1.5 to (0, 3) 2 + 1 + 0.3, to (4, 0) 7.3, to (6, 2) 4.3, to (6, 6) 4, to (4, 4) 4.3, the next 0,
    home 2 + 1.5: 4.8 + 7.3 + 4.3 + 4 + 4.3 + 0 + 3.5 = 28.2.
    Drops 12 × 0.45 = 5.4, slack 12 × 0.3 = 3.6, board 2 × 1: 39.2, and a tenth: 43.12.
    Across joists 1 + 3 + 2 + 4 + 2 = 12 m, so 3 + 8 + 5 + 10 + 5 = 31 holes; clips (28.2 − 12) ÷ 0.30 = 54, 18 of metal.
L1, above the ceiling: board up 0.9 to (1, 2) 1 + 2 + 0.3, to (4, 2) 3, to (4, 6) 4: 11.2.
    Slack 5 × 0.3, board 1: 13.7, and a tenth: 15.07. Across 2 + 4; clips 5.2 ÷ 0.25 = 21, 7 of metal.
    Each switch: from its light 2 m, down 2.4 − 1.2, slack 0.6: 3.8, and a tenth: 4.18 of three-core.
C1: board down 1.5, 2 + 4 + 0.3: 7.8; up 1.5, slack 0.3, board 1: 10.6, and a tenth: 11.66, and 1.5 to the outlet: 13.16.
    Across 4; clips 3.8 ÷ 0.30 = 13, 4 of metal.
Board: 3 devices and a fifth more, rounded up: 4 ways; the smallest unit has 10, so 7 blanks.
"""

from decimal import Decimal as D

import pytest

from jobs.core.circuit_takeoff import list_circuit_cables
from jobs.core.stages import CircuitKind, DropCover, JoistRun, RoomKind, Stage, WallKind
from jobs.core.takeoff import sum_materials
from jobs.models import AccessoryRange, PointKind
from jobs.queries.takeoff import list_materials, load_catalogue, load_house
from tests.factories import make_area, make_circuit, make_firm, make_job, make_point, make_room

pytestmark = pytest.mark.django_db


def _room(area, name, kind, place, **fields):
    x, y, length, width = map(D, place.split())
    return make_room(
        area, name, kind, grid_x_metres=x, grid_y_metres=y, length_metres=length, width_metres=width, height_metres=D("2.40"),
        joists=JoistRun.ALONG_X, **fields,
    )


@pytest.fixture
def house():
    firm = make_firm(with_catalogue=True)
    kinds = {kind.code: kind for kind in PointKind.objects.filter(firm=firm)}
    job = make_job(firm, accessory_range=AccessoryRange.objects.get(firm=firm, code="flat-plate"))
    area = make_area(job)
    hall = _room(area, "Hall", RoomKind.HALL, "0 0 2 4", drop_cover=DropCover.CONDUIT)
    lounge = _room(area, "Lounge", RoomKind.LOUNGE, "2 0 4 4")
    kitchen = _room(area, "Kitchen", RoomKind.KITCHEN, "2 4 4 4", wall_kind=WallKind.STUD)
    ring, lights = make_circuit(job, "R1"), make_circuit(job, "L1", CircuitKind.LIGHTING)
    cooker = make_circuit(job, "C1", CircuitKind.COOKER)
    for room, codes in (
        (hall, "consumer-unit double-socket ceiling-light"),
        (lounge, "double-socket double-socket double-socket switch-one-way ceiling-light"),
        (kitchen, "double-socket double-socket cooker switch-one-way ceiling-light"),
    ):
        for code in codes.split():
            circuits = {"double-socket": ring, "cooker": cooker, "consumer-unit": None}
            make_point(room, kinds[code], circuits.get(code, lights))
    return load_house(job), load_catalogue(firm)


def test_lengths_are_those_found_by_hand_when_three_rooms_are_routed(house):
    lines = {line.circuit.reference: line for line in list_circuit_cables(*house)}
    assert {reference: line.metres for reference, line in lines.items()} == {
        "R1": D("43.12"), "L1": D("15.07"), "C1": D("11.66"),
    }
    assert lines["L1"].metres_by_cable == {"cable-1.5-2c": D("15.07"), "cable-1.5-3c": D("8.36")}
    assert lines["R1"].route.crossings == 31


@pytest.mark.parametrize(
    ("stage", "item", "quantity"),
    [
        (Stage.FIRST_FIX, "cable-2.5-2c", "43.12"),
        (Stage.FIRST_FIX, "cable-1.5-3c", "8.36"),
        (Stage.FIRST_FIX, "cable-6-2c", "13.16"),
        (Stage.FIRST_FIX, "clip-2.5", "36"),
        (Stage.FIRST_FIX, "clip-1.5", "14"),
        (Stage.FIRST_FIX, "clip-6", "9"),
        (Stage.FIRST_FIX, "clip-fire", "29"),
        (Stage.FIRST_FIX, "bush-conduit-20", "2"),  # the hall's two drops use the old conduit
        (Stage.FIRST_FIX, "capping-25", "7"),  # the lounge's 3 × 2 and its switch's 1
        (Stage.FIRST_FIX, "nail-galv", "42"),  # 6 each
        (Stage.FIRST_FIX, "box-1g-35", "1"),  # a flat plate needs the deeper box
        (Stage.FIRST_FIX, "box-dry-1g-35", "1"),  # the kitchen's switch
        (Stage.SECOND_FIX, "flat-socket-2g", "6"),
        (Stage.SECOND_FIX, "flat-switch-1g", "2"),
        (Stage.SECOND_FIX, "flat-cooker-45", "1"),
        (Stage.SECOND_FIX, "board-10", "1"),
        (Stage.SECOND_FIX, "board-blank", "7"),
        (Stage.SECOND_FIX, "spd-2", "1"),
    ],
)
def test_materials_are_those_found_by_hand_when_three_rooms_are_taken_off(house, stage, item, quantity):
    materials = sum_materials(list_materials(*house))
    assert sum(taken for (_, at, code), taken in materials.items() if (at, code) == (stage, item)) == D(quantity)

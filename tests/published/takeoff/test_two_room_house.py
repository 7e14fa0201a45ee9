"""A house of two rooms taken off by hand.

Hours and recipes are middle values of a handbook's usual ranges (common practice, no source); clip spacing is Whitfield,
The Electrician's Guide to the 16th Edition, Table 4.10. Every sum below was done on paper, not by the program.

Lounge, masonry, timber floor: 4 double sockets on ring R1, 1 ceiling light on L1, 1 one-way switch, the consumer unit.
Kitchen, stud, solid floor: 3 double sockets on R1. People live there (× 1.3).
"""

import json
from decimal import Decimal as D

import pytest
from django.conf import settings

from jobs.core.stages import CircuitKind, FloorKind, RoomKind, Stage, WallKind
from jobs.core.takeoff import list_tasks, sum_hours, sum_materials
from jobs.models import PointKind
from jobs.queries.takeoff import list_materials, load_catalogue, load_house
from tests.factories import make_area, make_circuit, make_firm, make_job, make_point, make_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def taken_off():
    firm = make_firm(with_catalogue=True)
    kinds = {kind.code: kind for kind in PointKind.objects.filter(firm=firm)}
    job = make_job(firm, is_occupied=True)
    area = make_area(job)
    lounge = make_room(area, "Lounge", RoomKind.LOUNGE)
    kitchen = make_room(area, "Kitchen", RoomKind.KITCHEN, wall_kind=WallKind.STUD, floor_kind=FloorKind.SOLID)
    ring, lights = make_circuit(job, "R1"), make_circuit(job, "L1", CircuitKind.LIGHTING)
    for room, code, circuit, count in (
        (lounge, "double-socket", ring, 4), (lounge, "ceiling-light", lights, 1), (lounge, "switch-one-way", lights, 1),
        (lounge, "consumer-unit", None, 1), (kitchen, "double-socket", ring, 3),
    ):
        for _ in range(count):
            make_point(room, kinds[code], circuit)
    house, catalogue = load_house(job), load_catalogue(firm)
    return area.pk, sum_hours(list_tasks(house, catalogue)), sum_materials(list_materials(house, catalogue))


@pytest.mark.parametrize(
    ("stage", "hours"),
    [
        # Lounge 1.75; kitchen in stud 0.75 × 1.5 = 1.125; each × 1.3: 2.275 → 2.28, 1.4625 → 1.46
        (Stage.STRIP_OUT, "3.74"),
        # Lounge: sockets 4 × 1.2 × 1.3 = 6.24, light 0.91, switch 1.30, unit 1.95, boards 1.43;
        # kitchen: 3 × 0.55 × 1.3 = 2.145 → 2.15
        (Stage.FIRST_FIX, "13.98"),
        # Lounge: 4 × 0.3 × 1.3 = 1.56, light 0.52, switch 0.39, unit 5.20; kitchen 3 × 0.25 × 1.3 = 0.975 → 0.98
        (Stage.SECOND_FIX, "8.65"),
        # Two circuits of 0.55 × 1.3 = 0.715 → 0.72 each, certificate 3.9
        (Stage.TEST, "5.34"),
    ],
)
def test_hours_are_those_found_by_hand_when_two_rooms_are_taken_off(taken_off, stage, hours):
    area, labour, _ = taken_off
    assert labour[area, stage] == D(hours)


@pytest.mark.parametrize(
    ("stage", "item", "quantity"),
    [
        (Stage.FIRST_FIX, "box-2g-35", "4"),
        (Stage.FIRST_FIX, "box-dry-2g-35", "3"),
        (Stage.FIRST_FIX, "box-1g-25", "1"),
        (Stage.FIRST_FIX, "grommet-20", "9"),  # 4 × 2 and the switch's 1
        (Stage.FIRST_FIX, "capping-25", "9"),
        (Stage.FIRST_FIX, "nail-galv", "54"),  # 6 each
        # Ring of 7: run 2 × 6 + 6 × 4.5 = 39, drops 14 × 0.45 = 6.3, legs 3.2, slack 14 × 0.3 = 4.2, board 2: 54.7 + 10 %
        (Stage.FIRST_FIX, "cable-2.5-2c", "60.17"),
        # One light: run 6, leg 1.6, slack 0.3, board 1: 8.9 + 10 %
        (Stage.FIRST_FIX, "cable-1.5-2c", "9.79"),
        (Stage.FIRST_FIX, "cable-1.5-3c", "4"),
        # 10.3 mm wide: 39 / 0.30 = 130, legs 3.2 / 0.40 = 8; of 138 every third is of metal
        (Stage.FIRST_FIX, "clip-2.5", "92"),
        # 8.2 mm wide: 6 / 0.25 = 24, leg 1.6 / 0.40 = 4; of 28 nine are of metal
        (Stage.FIRST_FIX, "clip-1.5", "19"),
        (Stage.FIRST_FIX, "clip-fire", "55"),
        (Stage.SECOND_FIX, "plate-socket-2g", "7"),
        (Stage.SECOND_FIX, "rcbo-32", "1"),
        (Stage.SECOND_FIX, "rcbo-6", "1"),
        (Stage.SECOND_FIX, "pendant-set", "1"),
    ],
)
def test_materials_are_those_found_by_hand_when_two_rooms_are_taken_off(taken_off, stage, item, quantity):
    area, _, materials = taken_off
    assert materials[area, stage, item] == D(quantity)


# Handbook ranges of person-hours for masonry and for stud (common practice, no source).
RANGES = [
    ("double-socket", "first_fix", (0.9, 1.5), (0.4, 0.7)),
    ("switch-one-way", "first_fix", (0.8, 1.3), (0.4, 0.6)),
    ("ceiling-light", "first_fix", (0.5, 0.9), (0.3, 0.5)),
    ("downlight", "first_fix", (0.3, 0.5), (0.2, 0.35)),
    ("cooker", "first_fix", (1.5, 3.0), (1.0, 1.5)),
    ("shower", "first_fix", (1.5, 3.0), (1.0, 1.5)),
    ("smoke-alarm", "first_fix", (0.6, 1.0), (0.3, 0.5)),
    ("double-socket", "second_fix", (0.25, 0.4), (0.2, 0.3)),
    ("ceiling-light", "second_fix", (0.25, 0.5), (0.2, 0.4)),
    ("fan", "second_fix", (0.5, 1.0), (0.5, 0.8)),
]


@pytest.mark.parametrize(("kind", "stage", "masonry", "stud"), RANGES)
def test_shipped_hours_lie_in_the_usual_range_when_compared(kind, stage, masonry, stud):
    rows = json.loads((settings.BASE_DIR / "fixtures/catalogue/labour_norms.json").read_text())
    hours = {
        row["wall_kind"]: float(row["labour_hours"])
        for row in rows if (row.get("point_kind"), row["stage"]) == (kind, stage)
    }
    assert masonry[0] <= hours["masonry"] <= masonry[1]
    assert stud[0] <= hours["stud"] <= stud[1]

from datetime import timedelta
from itertools import permutations

import pytest

from jobs.core.centres import Centre, Said, Wall, draw_sketch, settle
from tests.factories import NOW


def centre(wall_1: Wall, from_1_mm: int, wall_2: Wall, from_2_mm: int) -> Centre:
    return Centre(wall_1, from_1_mm, wall_2, from_2_mm)


@pytest.mark.parametrize(
    "same_place",
    [
        centre(Wall.A, 1000, Wall.D, 500),
        centre(Wall.C, 2000, Wall.D, 500),
        centre(Wall.A, 1000, Wall.B, 3500),
        centre(Wall.C, 2000, Wall.B, 3500),
    ],
)
def test_place_is_the_same_whichever_walls_it_was_measured_from(same_place):
    assert same_place.place(4000, 3000) == (500, 1000)


def test_last_said_stands_whatever_the_order_of_arrival():
    said = [Said(str(hour), NOW + timedelta(hours=hour), "Priya", centre(Wall.A, hour, Wall.D, 0)) for hour in range(4)]

    assert {settle(order).op_id for order in permutations(said)} == {"3"}


def test_tie_of_time_is_settled_alike_on_every_phone():
    said = [Said(op_id, NOW, "Priya", centre(Wall.A, 1, Wall.D, 0)) for op_id in "ab"]

    assert settle(said) == settle(reversed(said))


def test_nothing_stands_when_nobody_measured():
    assert settle([]) is None


def test_spot_does_not_fit_when_it_lies_outside_the_room():
    sketch = draw_sketch(4000, 3000, [(1, centre(Wall.A, 1500, Wall.D, 500)), (2, centre(Wall.A, 3001, Wall.D, 500))])

    assert [spot.fits for spot in sketch.spots] == [True, False]


def test_sketch_leaves_room_for_the_names_of_its_walls():
    sketch = draw_sketch(4000, 3000, [])

    assert sketch.view_box == "-400 -400 4800 3800"
    assert [letter for letter, _, _ in sketch.walls] == ["A", "B", "C", "D"]

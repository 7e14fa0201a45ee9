import pytest

from jobs.models import Room
from jobs.queries.floor_sketch import load_sketch

pytestmark = pytest.mark.django_db


def test_way_is_told_from_room_to_room_when_routed(house):
    ways = {row.circuit.reference: row.way for row in load_sketch(house.job).rows}
    assert ways == {"R1": "board, Lounge (3), board", "L1": "board, Hall, Lounge"}


def test_totals_hold_every_cable_when_switches_branch_off(house):
    sketch = load_sketch(house.job)
    assert [item.code for item, _ in sketch.totals] == ["cable-1.5-3c", "cable-1.5-2c", "cable-2.5-2c"]
    assert sum(metres for _, metres in sketch.totals) == sum(
        row.line.metres + sum(metres for _, metres in row.branches) for row in sketch.rows
    )


def test_rooms_without_a_place_are_told_when_averages_stand(house):
    Room.objects.filter(pk=house.lounge.pk).update(grid_x_metres=None)
    sketch = load_sketch(house.job)
    assert (sketch.unplaced, {row.way for row in sketch.rows}) == (("Lounge",), {""})


@pytest.mark.parametrize(("asked", "level", "floors"), [(0, 0, 1), (7, None, 1), (None, None, 1)])
def test_unknown_floor_shows_all_when_asked_for(house, asked, level, floors):
    sketch = load_sketch(house.job, level=asked)
    assert (sketch.level, len(sketch.shown_floors)) == (level, floors)

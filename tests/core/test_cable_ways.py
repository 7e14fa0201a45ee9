from decimal import Decimal as D

import pytest

from jobs.core.cable_ways import Box, lay_way
from jobs.core.stages import JoistRun

ALONG_X = Box(D(0), D(0), D(4), D(4), joists=JoistRun.ALONG_X)
ALONG_Y = Box(D(4), D(0), D(4), D(4), joists=JoistRun.ALONG_Y)
UNKNOWN = Box(D(0), D(0), D(4), D(4))


def _lay(start, end, *boxes):
    way = lay_way(tuple(map(D, start)), tuple(map(D, end)), 0, boxes)
    return way.along_metres, way.across_metres, way.unknown_metres


def test_cable_runs_free_when_it_goes_along_the_joists():
    assert _lay((1, 1), (3, 1), ALONG_X) == (2, 0, 0)


def test_each_joist_is_drilled_when_cable_goes_across():
    way = lay_way((D(1), D(1)), (D(1), D(3)), 0, [ALONG_X])
    assert (way.across_metres, way.crossings) == (2, 5)


def test_lie_changes_at_the_wall_when_rooms_have_different_joists():
    assert _lay((2, 1), (7, 1), ALONG_X, ALONG_Y) == (2, 3, 0)


def test_corner_is_where_fewer_joists_are_drilled_when_both_ways_are_as_long():
    # Over (7, 1): 2 along and 3 across, then 2 along. Over (2, 3): 2 across, 2 along, 3 across.
    way = lay_way((D(2), D(1)), (D(7), D(3)), 0, [ALONG_X, ALONG_Y])
    assert way.corners == ((2, 1), (7, 1), (7, 3))
    assert (way.along_metres, way.across_metres) == (4, 3)


def test_metres_are_said_to_be_unknown_when_joists_are():
    assert _lay((1, 1), (3, 2), UNKNOWN) == (0, 0, 3)


def test_joists_run_on_when_a_part_lies_in_no_room():
    assert _lay((1, 1), (6, 1), ALONG_X) == (5, 0, 0)


@pytest.mark.parametrize("level", [1, -1])
def test_other_storeys_do_not_count_when_a_way_is_laid(level):
    way = lay_way((D(1), D(1)), (D(3), D(1)), level, [ALONG_X])
    assert way.unknown_metres == 2

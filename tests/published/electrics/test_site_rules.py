"""Clips, chases and zones against their published figures.

Clips: Whitfield, The Electrician's Guide to the 16th Edition, Table 4.10. Zones: BS 7671 522.6.202 and NHBC Standards
2020, 8.1.7; the 150 mm from memory. Chases of a 100 mm leaf: 33 and 16 mm, trade articles. Bathroom zones: BS 7671
Section 701, from memory, check.
"""

from decimal import Decimal as D

import pytest

from jobs.core.electrics.bathroom import BathPlace, BathZone, check_socket, zone_of
from jobs.core.electrics.chases import deepest_chase_mm
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.clips import clips_for
from jobs.core.electrics.zones import Visible, WallFace, check_joist_crossing, judge_run

WALL = WallFace(4000, 2400)
SOCKET = Visible("socket", 2000, 450)


def test_12_m_across_take_48_clips_and_a_drop_of_2_4_m_takes_6():
    across = clips_for(across_metres=D(12), down_metres=D(0), width_mm=D(9))
    down = clips_for(across_metres=D(0), down_metres=D("2.4"), width_mm=D(9))

    assert (across.count, down.count) == (48, 6)
    assert (down.across_mm, down.down_mm) == (250, 400)


def test_chases_of_a_100_mm_leaf_are_33_and_16_mm():
    assert (int(deepest_chase_mm(100, is_vertical=True)), int(deepest_chase_mm(100, is_vertical=False))) == (33, 16)


@pytest.mark.parametrize(
    ("start", "end", "fits"),
    [
        ((2000, 450), (2000, 2400), True),
        ((2000, 450), (3900, 450), True),
        ((0, 2260), (4000, 2260), True),
        ((0, 2240), (4000, 2240), False),
        ((140, 0), (140, 2400), True),
        ((160, 0), (160, 2400), False),
        ((2000, 450), (2100, 2400), False),
    ],
)
def test_run_is_in_a_zone_within_150_mm_of_an_edge_or_straight_from_the_point(start, end, fits):
    assert (judge_run(WALL, [SOCKET], start, end)[0].outcome == Outcome.PASS) == fits


@pytest.mark.parametrize(("depth", "outcome"), [(50, Outcome.PASS), (49, Outcome.FAIL)])
def test_cable_lies_50_mm_from_the_edge_of_a_joist_or_deep_in_a_wall(depth, outcome):
    assert check_joist_crossing(depth).outcome == outcome
    assert judge_run(WALL, [], (1000, 0), (1000, 1000), depth_mm=depth)[0].outcome == outcome


@pytest.mark.parametrize(
    ("place", "zone"),
    [
        (BathPlace(0, 300, is_inside_basin=True), BathZone.ZERO),
        (BathPlace(0, 2250), BathZone.ONE),
        (BathPlace(0, 2251), BathZone.OUTSIDE),
        (BathPlace(0, 2300, outlet_mm=2300), BathZone.ONE),
        (BathPlace(600, 1000), BathZone.TWO),
        (BathPlace(601, 1000), BathZone.OUTSIDE),
        (BathPlace(1200, 1000, has_tray=False), BathZone.ONE),
        (BathPlace(1201, 1000, has_tray=False), BathZone.OUTSIDE),
        (BathPlace(500, 100, has_tray=False), BathZone.ZERO),
    ],
)
def test_bathroom_zone_goes_by_distances(place, zone):
    assert zone_of(place).zone == zone


@pytest.mark.parametrize(("across", "later", "older"), [(2499, False, False), (2500, True, False), (3000, True, True)])
def test_bathroom_socket_is_judged_by_both_figures(across, later, older):
    outcomes = [check.outcome == Outcome.PASS for check in check_socket(BathPlace(across, 450))]

    assert outcomes == [later, older]

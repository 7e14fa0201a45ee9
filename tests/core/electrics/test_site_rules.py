from decimal import Decimal as D

import pytest

from jobs.core.electrics.bathroom import BathPlace, zone_of
from jobs.core.electrics.chases import deepest_chase_mm, judge_chase
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.clips import clips_for
from jobs.core.electrics.protection import Bond, check_bond
from jobs.core.electrics.zones import Visible, WallFace, judge_run, zone_counts_behind, zones_of

WALL = WallFace(3000, 2400, left_is_angle=False)


def test_wall_end_without_another_wall_gives_no_zone():
    assert [zone.why for zone in zones_of(WALL, [])] == ["along the top of the wall", "along the right angle"]


def test_point_gives_a_zone_as_wide_as_itself():
    up = zones_of(WALL, [Visible("twin socket", 1000, 450, width_mm=146)])[-2]

    assert (up.left_mm, up.right_mm, up.why) == (927, 1073, "straight up and down from twin socket")


def test_shallow_run_needs_an_rcd_as_well():
    checks = judge_run(WALL, [], (0, 2300), (2000, 2300), has_rcd=False)

    assert [check.outcome for check in checks] == [Outcome.PASS, Outcome.FAIL]


def test_covered_run_needs_no_zone():
    assert [check.outcome for check in judge_run(WALL, [], (0, 0), (900, 900), has_metal_cover=True)] == [Outcome.PASS]


def test_zone_counts_behind_a_thin_wall_alone():
    assert (zone_counts_behind(100), zone_counts_behind(101)) == (True, False)


def test_zone_of_a_bathroom_says_what_is_asked_for():
    verdict = zone_of(BathPlace(300, 1000))

    assert verdict.needs == ("IPX4, fixed and suitable for the zone", "30 mA RCD on every circuit of the room")


def test_chases_back_to_back_fail_whatever_their_depth():
    checks = judge_chase(10, 100, is_vertical=True, is_back_to_back=True)

    assert [check.outcome for check in checks] == [Outcome.PASS, Outcome.FAIL]
    assert judge_chase(17, 100, is_vertical=False)[0].outcome == Outcome.FAIL


def test_clips_show_their_spacing_and_rows():
    clips = clips_for(across_metres=D(3), down_metres=D(2), width_mm=D("10.3"))

    assert clips.numbers == "3 m at 300 mm + 2 m at 400 mm = 15"
    assert len(clips.rules) == 3


@pytest.mark.parametrize(("kind", "size", "outcome"), [
    (Bond.MAIN, "10", Outcome.PASS), (Bond.MAIN, "6", Outcome.FAIL), (Bond.EARTHING, "16", Outcome.PASS),
    (Bond.SUPPLEMENTARY, "2.5", Outcome.FAIL),
])
def test_bond_is_judged_by_its_least_size(kind, size, outcome):
    assert check_bond(kind, D(size)).outcome == outcome


@pytest.mark.parametrize("wrong", [
    lambda: clips_for(across_metres=D(-1), down_metres=D(0), width_mm=D(9)),
    lambda: clips_for(across_metres=D(1), down_metres=D(0), width_mm=D(41)),
    lambda: deepest_chase_mm(0, is_vertical=True), lambda: WallFace(0, 2400), lambda: BathPlace(-1, 0),
])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError):
        wrong()

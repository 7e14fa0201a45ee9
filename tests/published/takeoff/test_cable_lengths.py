"""Cable and clips against figures worked out outside the project.

Clip spacing: Whitfield, The Electrician's Guide to the 16th Edition, Table 4.10 (flat cables). Slack, legs and waste:
common practice, no source; the sums are done by hand beside each check.
"""

from decimal import Decimal as D

import pytest

from jobs.core.cable import CableRun, clip_count, loop_cable_metres, order_metres

RING = CableRun(
    floor_metres=D("42.0"), drops=16, drop_metres=D("0.45"), slack_ends=16,
    board_legs=2, board_leg_metres=D("1.6"), board_ends=2,
)
ALLOWANCES = {"slack_metres": D("0.30"), "board_end_metres": D("1.0")}


def test_ring_of_eight_points_is_59_20_metres_when_added_by_hand():
    # 42.0 + 8 × 2 × 0.45 (7.2) + 2 × 1.6 (3.2) + 16 × 0.30 (4.8) + 2 × 1.0 (2.0) = 59.2
    assert loop_cable_metres(RING, **ALLOWANCES) == D("59.20")


def test_ring_of_eight_points_is_ordered_as_66_metres_when_a_tenth_is_wasted():
    metres = loop_cable_metres(RING, **ALLOWANCES, waste_percent=D(10))
    assert (metres, order_metres(metres)) == (D("65.12"), 66)


def test_twelve_metres_take_48_clips_when_a_9_mm_cable_runs_across():
    assert clip_count(across_metres=D(12), down_metres=D(0), width_mm=D(9)) == 48


def test_drop_of_2_4_metres_takes_6_clips_when_a_9_mm_cable_runs_down():
    assert clip_count(across_metres=D(0), down_metres=D("2.4"), width_mm=D(9)) == 6


@pytest.mark.parametrize(
    ("widest_mm", "across", "down"),
    [(9, "0.250", "0.400"), (15, "0.300", "0.400"), (20, "0.350", "0.450"), (40, "0.400", "0.550")],
)
def test_one_clip_holds_one_spacing_when_the_cable_is_of_the_widest_size(widest_mm, across, down):
    """Whitfield, Table 4.10: one spacing is one clip, a millimetre more is two."""
    for metres, name in ((D(across), "across_metres"), (D(down), "down_metres")):
        lengths = {"across_metres": D(0), "down_metres": D(0)}
        assert clip_count(**lengths | {name: metres}, width_mm=D(widest_mm)) == 1
        assert clip_count(**lengths | {name: metres + D("0.001")}, width_mm=D(widest_mm)) == 2

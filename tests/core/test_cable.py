from decimal import Decimal as D

import pytest

from jobs.core.cable import (
    Averages,
    CableRun,
    PointEnds,
    average_run,
    clip_count,
    flat_cable_width_mm,
    loop_cable_metres,
    order_metres,
)
from jobs.core.stages import CircuitKind

AVERAGES = Averages(board_run_metres=D(6), between_metres=D(4), drop_metres=D("0.5"), board_leg_metres=D("1.5"))


def test_ring_comes_back_to_the_board_when_its_route_is_unknown():
    run = average_run(CircuitKind.RING, [PointEnds(2)] * 3, AVERAGES)
    assert (run.floor_metres, run.drops, run.slack_ends, run.board_legs, run.board_ends) == (20, 6, 6, 2, 2)


def test_spur_adds_its_run_and_two_ends_when_it_hangs_on_a_ring():
    plain = average_run(CircuitKind.RING, [PointEnds(2)] * 3, AVERAGES)
    spurred = average_run(CircuitKind.RING, [*[PointEnds(2)] * 3, PointEnds(1)], AVERAGES)
    assert spurred.floor_metres - plain.floor_metres == 4
    assert (spurred.drops - plain.drops, spurred.slack_ends - plain.slack_ends) == (2, 2)


def test_ring_of_spurs_alone_counts_as_a_radial_when_nothing_is_on_its_loop():
    assert average_run(CircuitKind.RING, [PointEnds(1)], AVERAGES).board_legs == 1


def test_radial_ends_at_its_last_point_when_its_route_is_unknown():
    run = average_run(CircuitKind.RADIAL, [PointEnds(2), PointEnds(2), PointEnds(1)], AVERAGES)
    assert (run.floor_metres, run.drops, run.slack_ends, run.board_ends) == (14, 5, 5, 1)


def test_bonding_runs_straight_to_each_point_when_there_are_two():
    run = average_run(CircuitKind.BONDING, [PointEnds(1)] * 2, AVERAGES)
    assert (run.floor_metres, run.board_ends) == (12, 2)


def test_points_fed_by_their_own_recipe_add_no_run_when_they_hang_on_a_circuit():
    run = average_run(CircuitKind.LIGHTING, [PointEnds(2), PointEnds(0)], AVERAGES)
    assert (run.floor_metres, run.slack_ends) == (6, 1)


def test_own_run_of_a_point_counts_when_it_has_one():
    run = average_run(CircuitKind.LIGHTING, [PointEnds(2, D("1.5"))] * 3, AVERAGES)
    assert run.floor_metres == 9


def test_nothing_is_run_when_a_circuit_has_no_points():
    run = average_run(CircuitKind.COOKER, [], AVERAGES)
    assert loop_cable_metres(run, slack_metres=D("0.3"), board_end_metres=D(1)) == 0


def test_waste_is_added_to_every_part_when_given():
    run = CableRun(D(10), 0, D(0), 0, 0, D(0), 0)
    assert loop_cable_metres(run, slack_metres=D(0), board_end_metres=D(0), waste_percent=D(15)) == D("11.50")


@pytest.mark.parametrize(("metres", "order"), [("65.12", 66), ("66.00", 66), ("0.01", 1)])
def test_orders_are_whole_metres_when_rounded_up(metres, order):
    assert order_metres(D(metres)) == order


def test_wider_cable_takes_fewer_clips_when_the_run_is_the_same():
    counts = [clip_count(across_metres=D(12), down_metres=D(0), width_mm=D(width)) for width in (9, 10, 15, 16, 20, 21, 40)]
    assert counts == [48, 40, 40, 35, 35, 30, 30]


def test_clips_are_refused_when_the_cable_is_wider_than_the_table():
    with pytest.raises(ValueError, match="40 mm"):
        clip_count(across_metres=D(1), down_metres=D(0), width_mm=D(41))


def test_width_is_that_of_the_next_larger_size_when_the_table_has_not_got_it():
    assert flat_cable_width_mm(D("2.0")) == D("10.3")
    assert flat_cable_width_mm(D("25")) == D("19.4")

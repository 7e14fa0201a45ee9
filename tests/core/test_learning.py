from decimal import Decimal
from math import exp, log, sqrt

import pytest

from jobs.core.learning import Belief, Record, learn, suggest_hours


def test_belief_stays_when_nothing_was_recorded() -> None:
    assert learn(Belief(spread=0.25), []) == Belief(spread=0.25)


def test_belief_stays_when_records_count_for_nothing() -> None:
    assert learn(Belief(spread=0.25), [Record(8, 16, weight=0)]) == Belief(spread=0.25)


def test_mean_moves_by_the_share_of_records_when_the_estimate_is_worth_four_packages() -> None:
    after = learn(Belief(packages=4), [Record(10, 12)] * 4)
    assert after.factor == pytest.approx(sqrt(1.2))


def test_a_package_counts_by_its_part_when_it_was_mostly_other_work() -> None:
    whole, part = learn(Belief(), [Record(10, 20)]), learn(Belief(), [Record(10, 20, weight=0.25)])
    assert whole.mean == pytest.approx(log(2) / 5)
    assert part.mean == pytest.approx(0.25 * log(2) / 4.25)


def test_the_records_win_when_they_are_many() -> None:
    after = learn(Belief(), [Record(10, 13)] * 1000)
    assert after.factor == pytest.approx(1.3, rel=0.005)


def test_learning_in_two_steps_is_learning_at_once_when_records_are_the_same() -> None:
    records = [Record(10, 12), Record(8, 7, weight=0.5), Record(5, 9)]
    stepwise, at_once = learn(learn(Belief(spread=0.2), records[:1]), records[1:]), learn(Belief(spread=0.2), records)
    assert stepwise.mean == pytest.approx(at_once.mean)
    assert stepwise.spread == pytest.approx(at_once.spread)


def test_spread_shrinks_when_packages_land_on_their_estimate() -> None:
    after = learn(Belief(spread=0.25), [Record(10, 10)] * 8)
    assert after.spread == pytest.approx(0.25 / sqrt(2))


def test_distance_counts_what_all_packages_took_too_long_when_they_scatter_little() -> None:
    assert Belief(mean=0.3, spread=0.4).distance == pytest.approx(0.5)


def test_hours_are_rounded_to_the_hundredth_when_suggested() -> None:
    assert suggest_hours(Decimal("0.60"), Belief(mean=log(1.25))) == Decimal("0.75")
    assert suggest_hours(Decimal("0.33"), Belief(mean=log(exp(0.01)))) == Decimal("0.33")

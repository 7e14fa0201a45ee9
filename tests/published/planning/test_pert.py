"""The chance of a project's date, from uncertain durations.

Hillier and Lieberman, Introduction to Operations Research, the construction project of the chapter on project
management with PERT/CPM: optimistic, most likely and pessimistic estimates in weeks; on the mean critical path the
mean is 44, the variance 9, and P(done within 47 weeks) about 0.84 (values from memory of the textbook).
"""

from dataclasses import replace
from math import log, sqrt

import pytest

from jobs.core.planning import quick_plan
from jobs.core.planning.problem import Package, Problem, Promise
from jobs.core.planning.risk import Risk, measure
from tests.core.planning.cast import ANN, MONDAY, after, package, problem

CRITICAL = {
    "A": (1, 2, 3), "B": (2, 3.5, 8), "C": (6, 9, 18), "E": (1, 4.5, 5), "F": (4, 4, 10), "J": (3, 9, 9), "L": (1, 5.5, 7),
    "N": (5, 5.5, 9),
}
HOURS = 8
"""One week of the book is a day of the crew's, so that the path ends on one of the calendar's days."""


def mean(low: float, likely: float, high: float) -> float:
    return (low + 4 * likely + high) / 6


def variance(low: float, likely: float, high: float) -> float:
    return ((high - low) / 6) ** 2


class Estimates:
    """The spread of each activity, so that its log-normal duration has PERT's mean and variance."""

    def of(self, activity: Package) -> float:
        three = CRITICAL[activity.key]
        return sqrt(log(1 + variance(*three) / mean(*three) ** 2))


def median(key: str) -> float:
    three = CRITICAL[key]
    return mean(*three) / sqrt(1 + variance(*three) / mean(*three) ** 2)


def path() -> Problem:
    keys = list(CRITICAL)
    links = tuple(after(before, later) for before, later in zip(keys, keys[1:], strict=False))
    return problem(*(package(key, HOURS * median(key)) for key in keys), people=(ANN,), links=links)


def lived(promised_day: int) -> Risk:
    work = path()
    promised = Promise("mill", 2 * promised_day - 1, MONDAY)
    return measure(replace(work, promises=(promised,)), quick_plan(work), Estimates())


def test_the_path_has_mean_44_and_variance_9_by_the_book() -> None:
    assert sum(mean(*three) for three in CRITICAL.values()) == pytest.approx(44)
    assert sum(variance(*three) for three in CRITICAL.values()) == pytest.approx(9)


@pytest.mark.parametrize(("day", "share"), [(41, 0.159), (44, 0.5), (47, 0.841), (50, 0.977)])
def test_the_chance_of_a_date_is_the_books_when_the_path_is_drawn(day: int, share: float) -> None:
    """The book takes the sum as normal; eight log-normal durations are a little skewed."""
    assert lived(day).finishes["mill"].holds == pytest.approx(share, abs=0.03)


def test_p50_and_p80_are_the_books_when_the_path_is_drawn() -> None:
    finish = lived(47).finishes["mill"]
    assert (finish.likely_last + 1) / 2 == pytest.approx(44, abs=1)
    assert (finish.safe_last + 1) / 2 == pytest.approx(44 + 0.8416 * 3, abs=1)

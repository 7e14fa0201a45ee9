"""What a plan's figures mean."""

import pytest

from jobs.queries.plan_words import aim_words, gap_words


@pytest.mark.parametrize(
    "gap, words",
    [
        (0.0, "proven best"),
        (0.034, "at most 3.4 % from the best possible"),
        (0.25, "at most 25 % from the best possible"),
        (0.51, "the best found so far"),
        (1.0, "not compared with the best possible"),
        (None, "not compared with the best possible"),
    ],
)
def test_gap_is_told_in_words(gap, words):
    assert gap_words(gap) == words


def test_kept_aims_are_told():
    assert aim_words([0, 0, 0, 50]) == ["Every promised finish is met", "no told date moved", "the coming week stands"]


def test_missed_aims_are_counted():
    late, told, week = aim_words([3, 1, 2, 50])
    assert late == "Promised finishes are missed by 3 half days in all"
    assert (told, week) == ("1 told date moved", "2 starts of the coming week moved")


def test_plan_without_figures_says_nothing():
    assert aim_words(None) == []

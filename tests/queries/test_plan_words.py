"""What a plan's figures mean."""

import pytest

from jobs.queries.plan_words import aim_words, gap_words, told_words


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


@pytest.mark.parametrize(
    ("objective", "bound", "words"),
    [
        ([0, 2, 0, 9], [0, 2, 0, 5], "It is proven that no plan that keeps promised finishes as well moves fewer told dates."),
        ([1, 2, 0, 9], [0, 2, 0, 5], "Whether fewer would do is not proven. Let the planner think longer to find out."),
        ([0, 3, 0, 9], [0, 1, 0, 5], "At least 1 told date must move; whether fewer than 3 would do is not proven."),
        ([0, 3, 0, 9], [0, 0, 0, 5], "Whether fewer would do is not proven. Let the planner think longer to find out."),
        ([0, 0, 0, 9], [0, 0, 0, 5], ""),
    ],
)
def test_moved_dates_are_said_to_be_fewest_when_that_is_proven(objective, bound, words):
    assert told_words({"objective": objective, "bound": bound}) == words


def test_nothing_is_said_of_moved_dates_when_a_hand_changed_the_plan():
    assert told_words({"broken": []}) == ""

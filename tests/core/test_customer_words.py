from datetime import date, timedelta

import pytest

from jobs.core.customer_words import STAGE_WORDS, DayRun, day_runs, first_name, is_power_off
from jobs.core.stages import Stage

FRIDAY = date(2027, 1, 15)
MONDAY = FRIDAY + timedelta(days=3)


@pytest.mark.parametrize(
    ("stage", "has_board", "expected"),
    [
        (Stage.STRIP_OUT, False, True), (Stage.TEST, False, True), (Stage.SECOND_FIX, True, True),
        (Stage.SECOND_FIX, False, False), (Stage.FIRST_FIX, True, False),
    ],
)  # fmt: skip
def test_power_is_off_when_wiring_comes_out_the_board_is_changed_or_tests_are_made(stage, has_board, expected):
    assert is_power_off(stage, has_board=has_board) is expected


def test_days_in_a_row_are_one_run_when_a_bridge_spans_the_week_end():
    assert day_runs([MONDAY, FRIDAY]) == [DayRun(FRIDAY, FRIDAY), DayRun(MONDAY, MONDAY)]
    assert day_runs([MONDAY, FRIDAY], bridged=2) == [DayRun(FRIDAY, MONDAY)]


@pytest.mark.parametrize(("name", "first"), [("Marta Quill", "Marta"), ("Ifan", "Ifan"), ("", "")])
def test_only_the_first_name_is_told_when_somebody_has_two(name, first):
    assert first_name(name) == first


def test_every_stage_has_plain_words():
    assert set(STAGE_WORDS) == set(Stage)

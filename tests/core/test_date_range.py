from datetime import date, timedelta

import pytest

from jobs.core.date_range import LEFT, MOST_WIDTH, DateRange

THURSDAY = date(2027, 1, 14)


def after(days: int) -> date:
    return THURSDAY + timedelta(days=days)


def test_both_days_are_told_when_they_differ() -> None:
    assert DateRange(THURSDAY, THURSDAY, after(4)).words == "likely Thu 14 Jan, safe by Mon 18 Jan (4 times in 5)"


def test_one_day_is_told_when_it_is_both() -> None:
    assert DateRange(THURSDAY, THURSDAY, THURSDAY).words == "safe by Thu 14 Jan (4 times in 5)"


def test_the_chance_is_told_when_there_is_a_date_to_hold() -> None:
    words = DateRange(THURSDAY, THURSDAY, THURSDAY, 86, "the promise").words
    assert words.endswith("; the promise holds in 86 cases of 100")


@pytest.mark.parametrize(("percent", "is_at_risk"), [(None, False), (49, True), (50, False)])
def test_a_date_is_at_risk_when_it_holds_less_often_than_not(percent: int | None, is_at_risk: bool) -> None:
    assert DateRange(THURSDAY, THURSDAY, THURSDAY, percent).is_at_risk == is_at_risk


def test_marks_stand_in_order_of_their_days_when_drawn() -> None:
    drawn = DateRange(THURSDAY, after(1), after(4))
    assert drawn.planned < drawn.likely < drawn.safe == drawn.last < drawn.width


def test_the_bar_begins_with_the_likely_day_when_work_may_be_early() -> None:
    drawn = DateRange(after(2), THURSDAY, after(4))
    assert (drawn.likely, drawn.planned) == (LEFT, LEFT + 32)


def test_the_bar_stays_short_when_the_range_is_long() -> None:
    assert DateRange(THURSDAY, after(30), after(200)).last == LEFT + MOST_WIDTH


def test_nothing_is_drawn_when_all_days_are_one() -> None:
    assert not DateRange(THURSDAY, THURSDAY, THURSDAY).has_bar
    assert DateRange(THURSDAY, THURSDAY, after(1)).has_bar


def test_words_promise_no_certainty_when_nearly_every_case_holds():
    words = DateRange(THURSDAY, THURSDAY, THURSDAY, holds_percent=100, what="the promise").words
    assert words.endswith("; the promise holds almost always")

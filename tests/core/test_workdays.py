from datetime import date, time

import pytest

from jobs.core.stages import Half
from jobs.core.workdays import Calendar, bank_holidays, sessions_between

MONDAY, FRIDAY = date(2027, 1, 11), date(2027, 1, 15)


def test_every_working_day_has_two_sessions_when_a_week_is_numbered() -> None:
    week = sessions_between(Calendar(), MONDAY, date(2027, 1, 17))
    assert len(week) == 10
    assert str(week[0]) == "Mon 11 Jan am"


def test_bank_holidays_rest_when_a_stretch_holds_one() -> None:
    assert sessions_between(Calendar(), date(2027, 3, 25), date(2027, 3, 30)).index(date(2027, 3, 26)) is None


def test_regions_rest_on_their_own_days_when_they_differ() -> None:
    st_andrew = date(2027, 11, 30)
    assert Calendar("SCT").rest_name(st_andrew) == "Saint Andrew's Day"
    assert Calendar("ENG").is_working(st_andrew)


def test_closed_days_rest_when_the_firm_shuts() -> None:
    calendar = Calendar(closed={MONDAY: "works outing"})
    assert calendar.rest_name(MONDAY) == "works outing"


def test_opened_days_work_when_they_are_weekends_or_closed() -> None:
    saturday = date(2027, 1, 16)
    calendar = Calendar(opened={saturday: "catching up"}, closed={saturday: "shut"})
    assert calendar.is_working(saturday)


def test_hours_follow_the_clock_when_halves_differ() -> None:
    calendar = Calendar(morning=(time(7, 30), time(12, 30)), afternoon=(time(13), time(16)))
    assert sessions_between(calendar, MONDAY, MONDAY).hours == (5.0, 3.0)


def test_a_rest_day_leads_to_the_next_session_when_looked_up() -> None:
    weeks = sessions_between(Calendar(), MONDAY, date(2027, 1, 24))
    assert weeks.first_on_or_after(date(2027, 1, 16)) == 10
    assert weeks.first_on_or_after(FRIDAY, Half.AFTERNOON) == 9


def test_past_the_end_is_the_length_when_no_session_is_left() -> None:
    week = sessions_between(Calendar(), MONDAY, FRIDAY)
    assert week.first_on_or_after(date(2027, 2, 1)) == len(week)


def test_rest_days_count_when_days_elapse() -> None:
    weeks = sessions_between(Calendar(), MONDAY, date(2027, 1, 29))
    assert weeks[weeks.after_elapsed(weeks.index(FRIDAY, Half.AFTERNOON), 3)].on == date(2027, 1, 18)


def test_an_unknown_region_is_refused_when_holidays_are_asked_for() -> None:
    with pytest.raises(ValueError, match="ENG"):
        bank_holidays("XX", 2027)

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.core.slots import Slot, day_stretch, stretches
from jobs.core.stages import Half
from jobs.core.workdays import Calendar

LONDON = ZoneInfo("Europe/London")
FIRM = Calendar()
AM, PM = Half.MORNING, Half.AFTERNOON
MONDAY, TUESDAY, THURSDAY, FRIDAY = (date(2027, 3, day) for day in (1, 2, 4, 5))
NEXT_MONDAY, NEXT_WEDNESDAY = date(2027, 3, 8), date(2027, 3, 10)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2027, 3, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("slot", "words"),
    [
        (Slot(MONDAY, AM, MONDAY, AM), "Mon 1 March, morning"),
        (Slot(MONDAY, PM, MONDAY, PM), "Mon 1 March, afternoon"),
        (Slot(MONDAY, AM, MONDAY, PM), "Mon 1 March, all day"),
        (Slot(MONDAY, AM, THURSDAY, PM), "Mon 1 March to Thu 4 March"),
        (Slot(MONDAY, PM, THURSDAY, AM), "Mon 1 March (from midday) to Thu 4 March (until midday)"),
    ],
)
def test_slot_is_said_plainly_whatever_its_length(slot, words):
    assert slot.words == words


def test_half_day_has_exactly_its_session_hours_when_put_in_a_calendar():
    (stretch,) = stretches(Slot(MONDAY, PM, MONDAY, PM), FIRM, LONDON)
    assert (stretch.starts_at, stretch.ends_at, stretch.is_all_day) == (at(1, 12, 30), at(1, 16, 30), False)


def test_session_times_are_the_firms_own_when_it_keeps_others():
    early = Calendar(morning=(time(7, 15), time(11, 45)))
    assert day_stretch(MONDAY, (AM,), early, LONDON).starts_at == at(1, 7, 15)


def test_whole_day_is_timed_from_morning_to_evening_when_one_day_long():
    (stretch,) = stretches(Slot(MONDAY, AM, MONDAY, PM), FIRM, LONDON)
    assert (stretch.starts_at, stretch.ends_at, stretch.is_all_day) == (at(1, 8), at(1, 16, 30), False)


def test_a_days_work_over_two_days_is_two_timed_halves_when_it_starts_at_midday():
    halves = stretches(Slot(MONDAY, PM, TUESDAY, AM), FIRM, LONDON)
    assert [(half.starts_at, half.ends_at) for half in halves] == [(at(1, 12, 30), at(1, 16, 30)), (at(2, 8), at(2, 12))]


def test_several_days_are_one_all_day_span_when_unbroken():
    (span,) = stretches(Slot(MONDAY, AM, THURSDAY, PM), FIRM, LONDON)
    assert (span.starts_at, span.ends_at, span.is_all_day) == (at(1, 0), at(5, 0), True)


def test_weekend_parts_two_spans_when_work_runs_over_it():
    spans = stretches(Slot(THURSDAY, AM, NEXT_WEDNESDAY, PM), FIRM, LONDON)
    assert [(span.starts_at, span.ends_at) for span in spans] == [(at(4, 0), at(6, 0)), (at(8, 0), at(11, 0))]


def test_bank_holiday_parts_two_spans_when_it_falls_inside():
    """Good Friday 26 and Easter Monday 29 March 2027 (bank holidays of England)."""
    spans = stretches(Slot(date(2027, 3, 25), AM, date(2027, 3, 31), PM), FIRM, LONDON)
    assert [span.starts_at.astimezone(LONDON).date() for span in spans] == [date(2027, 3, 25), date(2027, 3, 30)]


def test_agreed_saturday_counts_when_the_firm_rests_then():
    (stretch,) = stretches(Slot(date(2027, 3, 6), AM, date(2027, 3, 6), PM), FIRM, LONDON)
    assert stretch.starts_at == at(6, 8)


@given(st.dates(date(2026, 1, 1), date(2035, 12, 31)))
def test_morning_starts_by_the_clock_on_the_wall_whatever_the_season(day):
    stretch = day_stretch(day, (AM,), FIRM, LONDON)
    assert stretch.starts_at.astimezone(LONDON).strftime("%Y-%m-%d %H:%M") == f"{day} 08:00"

"""1 January is a bank holiday in England (gov.uk/bank-holidays). The waits are common practice, no source."""

from datetime import date, timedelta

import pytest

from jobs.core.prompting import needs_chasing, needs_reminder
from jobs.core.workdays import Calendar

CALENDAR = Calendar()
MONDAY, TUESDAY, THURSDAY, FRIDAY = (date(2027, 1, day) for day in (11, 12, 14, 15))
TOLD_ON = date(2027, 1, 4)


@pytest.mark.parametrize(
    ("today", "starts_on", "is_due"),
    [
        (TUESDAY, date(2027, 1, 13), True),
        (TUESDAY, THURSDAY, False),
        (TUESDAY, TUESDAY, False),
        (FRIDAY, date(2027, 1, 18), True),  # over the weekend
        (FRIDAY, date(2027, 1, 16), True),  # a Saturday somebody comes on
        (date(2027, 1, 17), date(2027, 1, 18), False),  # Sunday is no working day
    ],
)
def test_reminder_is_due_when_today_is_the_working_day_before(today, starts_on, is_due):
    assert needs_reminder(CALENDAR, today, told_on=TOLD_ON, starts_on=starts_on) is is_due


def test_reminder_is_due_before_the_bank_holiday_when_they_come_after_it():
    assert needs_reminder(CALENDAR, date(2026, 12, 31), told_on=date(2026, 12, 1), starts_on=date(2027, 1, 4))


def test_nobody_is_reminded_when_they_were_told_today():
    assert not needs_reminder(CALENDAR, TUESDAY, told_on=TUESDAY, starts_on=TUESDAY + timedelta(days=1))


def chases(today: date, *chased_on: date, told_on: date = FRIDAY, starts_on: date = date(2027, 2, 5), after: int = 2) -> bool:
    return needs_chasing(CALENDAR, today, told_on=told_on, chased_on=chased_on, starts_on=starts_on, after_days=after)


def test_chaser_waits_for_working_days_when_a_weekend_lies_between():
    assert [day for day in range(16, 23) if chases(date(2027, 1, day))][0] == 19


def test_chaser_waits_anew_when_one_was_written():
    assert not chases(date(2027, 1, 20), date(2027, 1, 19))
    assert chases(date(2027, 1, 21), date(2027, 1, 19))


def test_nobody_is_chased_when_two_chasers_were_not_answered():
    assert not chases(date(2027, 1, 29), date(2027, 1, 19), date(2027, 1, 21))


def test_nobody_is_chased_when_the_day_has_come():
    assert not chases(date(2027, 1, 20), starts_on=date(2027, 1, 20))


def test_nobody_is_chased_when_the_firm_does_not_want_it():
    assert not chases(date(2027, 1, 29), after=0)

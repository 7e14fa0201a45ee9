"""The firm's working days and clock."""

from datetime import UTC, date, datetime

import pytest

from jobs.models import CalendarDay
from jobs.queries.firm_calendar import list_bank_holidays, list_own_days, load_calendar, next_session
from tests.factories import TODAY, make_firm

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "now, session",
    [
        (datetime(2027, 1, 12, 6, 0, tzinfo=UTC), (date(2027, 1, 12), "am")),
        (datetime(2027, 1, 12, 12, 0, tzinfo=UTC), (date(2027, 1, 12), "pm")),
        (datetime(2027, 1, 12, 16, 30, tzinfo=UTC), (date(2027, 1, 13), "am")),
        (datetime(2027, 7, 1, 11, 30, tzinfo=UTC), (date(2027, 7, 1), "pm")),
        (datetime(2027, 6, 30, 23, 30, tzinfo=UTC), (date(2027, 7, 1), "am")),
    ],
    ids=["before work", "noon", "after work", "summer half past twelve", "summer after midnight"],
)
def test_next_session_goes_by_the_firms_clock(firm, now, session):
    assert next_session(firm, now) == session


def test_own_days_win_over_the_usual_calendar(firm):
    CalendarDay.objects.create(firm=firm, on=date(2027, 1, 16), is_working=True, name="Catching up")
    CalendarDay.objects.create(firm=firm, on=date(2027, 1, 13), name="Stocktaking")
    calendar = load_calendar(firm, TODAY)
    assert calendar.is_working(date(2027, 1, 16))
    assert calendar.rest_name(date(2027, 1, 13)) == "Stocktaking"


def test_other_firms_days_are_theirs(firm):
    CalendarDay.objects.create(firm=make_firm("Other"), on=date(2027, 1, 13), name="Stocktaking")
    assert load_calendar(firm, TODAY).is_working(date(2027, 1, 13))


def test_bank_holidays_are_those_of_the_next_twelve_months_and_of_the_region():
    """England and Wales. Substitute days: gov.uk/bank-holidays; the rest from Easter Sunday, 28 March 2027 by calculation."""
    days = [(on.month, on.day) for on, _, _ in list_bank_holidays(make_firm(), TODAY) if on.weekday() < 5]
    assert days == [(3, 26), (3, 29), (5, 3), (5, 31), (8, 30), (12, 27), (12, 28), (1, 3)]


def test_own_days_leave_out_those_that_are_over():
    firm = make_firm()
    CalendarDay.objects.create(firm=firm, on=date(2027, 1, 11), name="Over")
    CalendarDay.objects.create(firm=firm, on=TODAY, name="Stocktaking")
    assert [day.name for day in list_own_days(firm, TODAY)] == ["Stocktaking"]

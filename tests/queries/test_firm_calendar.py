"""The firm's working days and clock."""

from datetime import UTC, date, datetime

import pytest

from jobs.models import CalendarDay
from jobs.queries.firm_calendar import load_calendar, next_session
from tests.factories import TODAY, make_firm

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm()


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

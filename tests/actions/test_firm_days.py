from datetime import date

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.firm_days import add_firm_day, remove_firm_day
from jobs.actions.permission import Refused
from jobs.models import CalendarDay
from jobs.queries.firm_calendar import load_calendar
from tests.factories import TODAY, make_crew_user, make_firm, make_office, make_person

pytestmark = pytest.mark.django_db

WEDNESDAY = date(2027, 1, 13)
SATURDAY = date(2027, 1, 16)
GOOD_FRIDAY = date(2027, 3, 26)
"""Easter Sunday is 28 March 2027 (tables of the Book of Common Prayer, from memory)."""


@pytest.fixture
def office():
    return make_office(make_firm())


def add(office, on: date, is_working: bool = False) -> CalendarDay:
    return add_firm_day(firm=office.firm, on=on, is_working=is_working, name="Stocktaking", by=office, today=TODAY)


def test_nobody_works_when_a_day_is_closed(office):
    add(office, WEDNESDAY)
    assert load_calendar(office.firm, TODAY).rest_name(WEDNESDAY) == "Stocktaking"


@pytest.mark.parametrize("on", [SATURDAY, GOOD_FRIDAY])
def test_firm_works_when_a_rest_day_is_opened(office, on):
    add(office, on, is_working=True)
    assert load_calendar(office.firm, TODAY).is_working(on)


@pytest.mark.parametrize(
    "on, is_working, words",
    [
        (date(2027, 1, 11), False, "That day is over"),
        (WEDNESDAY, True, "Wednesday 13 January 2027 is a working day as it is"),
        (SATURDAY, False, "as it is: weekend"),
        (GOOD_FRIDAY, False, "as it is: Good Friday"),
    ],
)
def test_day_is_refused_when_it_changes_nothing(office, on, is_working, words):
    with pytest.raises(Refused, match=words):
        add(office, on, is_working)


def test_day_is_refused_when_it_is_listed_already(office):
    add(office, WEDNESDAY)
    with pytest.raises(Refused, match="listed already, as Stocktaking"):
        add(office, WEDNESDAY)


def test_firm_works_again_when_a_closed_day_is_removed(office):
    remove_firm_day(day=add(office, WEDNESDAY), by=office)
    assert load_calendar(office.firm, TODAY).is_working(WEDNESDAY)


def test_days_are_refused_when_another_firm_asks(office):
    with pytest.raises(PermissionDenied):
        remove_firm_day(day=add(office, WEDNESDAY), by=make_office(make_firm("Other")))


def test_days_are_refused_when_crew_asks(office):
    crew = make_crew_user(make_person(office.firm))
    with pytest.raises(PermissionDenied):
        add_firm_day(firm=office.firm, on=WEDNESDAY, is_working=False, name="Rest", by=crew, today=TODAY)

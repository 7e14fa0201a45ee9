"""The week in a terminal."""

from datetime import date

import pytest

from jobs.models import Absence, Person
from jobs.queries.week_text import week_table
from tests.factories import TODAY, make_plan
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    job = make_working_firm()
    plan = make_plan(job.firm)
    book(plan, Person.objects.get(name="Edda Marsh"), job.packages.first(), TODAY)
    span(plan, job.visits.get(), TODAY)
    return plan


def table(plan) -> str:
    return week_table(plan.firm, plan, date(2027, 1, 11))


def test_table_names_people_days_and_work(plan):
    head, *body = table(plan).splitlines()
    assert head.split(" | ")[2].strip() == "Tue 12 Jan"
    assert any("Edda Marsh" in line and "am Mill Lane" in line for line in body)


def test_table_tells_who_is_away(plan):
    tom = Person.objects.get(name="Tom Reed")
    Absence.objects.create(firm=plan.firm, person=tom, kind="sick", starts_on=TODAY, ends_on=TODAY)
    assert "sick" in table(plan)


def test_table_ends_with_other_trades(plan):
    assert "Other trades" in table(plan)


def test_columns_line_up(plan):
    lines = [line for line in table(plan).splitlines() if " | " in line]
    assert len({line.index(" | ") for line in lines}) == 1


def test_table_tells_who_only_goes_alongside(plan):
    book(plan, Person.objects.get(name="Tom Reed"), plan.bookings.get().package, TODAY, is_alongside=True)
    assert table(plan).count("Upstairs, alongside") == 1

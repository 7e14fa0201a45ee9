"""The week's page data."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Absence, CalendarDay, Order, Person, Pin, Plan, Visit
from jobs.queries.planning_keys import package_key, person_key
from jobs.queries.week import has_other_half, load_week, monday_of
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_plan,
    make_supplier,
    make_visit,
)
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db
MONDAY = date(2027, 1, 11)
WEDNESDAY = date(2027, 1, 13)


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def plan(job):
    return make_plan(job.firm)


@pytest.fixture
def edda(job):
    return Person.objects.get(name="Edda Marsh")


@pytest.fixture
def package(job):
    return job.packages.first()


def week_of(plan, **fields):
    return load_week(plan.firm, plan, MONDAY, TODAY, **fields)


def cells_of(plan, on: date, row: int = 0, **fields):
    days = week_of(plan, **fields).rows[row].days
    return next(day.cells for day in days if day.day.on == on)


def test_best_qualified_people_come_first(plan):
    make_person(plan.firm, "Ada Young", "labourer")
    assert [row.person.name for row in week_of(plan).rows] == ["Edda Marsh", "Tom Reed", "Ada Young"]


def test_weekend_is_shown_only_when_somebody_works_it(plan, edda, package):
    assert len(week_of(plan).days) == 5
    book(plan, edda, package, date(2027, 1, 16))
    assert [day.on for day in week_of(plan).days][-1] == date(2027, 1, 16)


def test_same_work_all_day_is_one_cell(plan, edda, package):
    for half in ("am", "pm"):
        book(plan, edda, package, WEDNESDAY, half)
    (cell,) = cells_of(plan, WEDNESDAY)
    assert (cell.is_whole_day, len(cell.stints)) == (True, 1)


def test_different_halves_are_two_cells(plan, edda, package):
    book(plan, edda, package, WEDNESDAY)
    morning, afternoon = cells_of(plan, WEDNESDAY)
    assert (len(morning.stints), afternoon.is_free) == (1, True)


def test_absence_is_told_in_its_cell(plan, edda):
    Absence.objects.create(firm=plan.firm, person=edda, kind="sick", starts_on=WEDNESDAY, ends_on=WEDNESDAY, part="pm")
    morning, afternoon = cells_of(plan, WEDNESDAY)
    assert (morning.away, afternoon.away) == ("", "sick")


def test_closed_day_names_itself(plan):
    CalendarDay.objects.create(firm=plan.firm, on=WEDNESDAY, name="Stocktaking")
    assert [day.rest_name for day in week_of(plan).days] == ["", "", "Stocktaking", "", ""]


def test_short_session_is_marked(plan, edda, package):
    book(plan, edda, package, WEDNESDAY, hours=1.5)
    assert cells_of(plan, WEDNESDAY)[0].stints[0].is_part


def test_booking_is_held_when_a_pin_keeps_it(plan, edda, package):
    book(plan, edda, package, WEDNESDAY)
    Pin.objects.create(firm=plan.firm, person=edda, package=package, on=WEDNESDAY, half="am", made_at=NOW)
    assert cells_of(plan, WEDNESDAY)[0].stints[0].is_held


def test_booking_is_new_when_the_issued_plan_lacks_it(plan, edda, package):
    issued = make_plan(plan.firm, Plan.State.ISSUED)
    book(issued, edda, package, WEDNESDAY)
    for half in ("am", "pm"):
        book(plan, edda, package, WEDNESDAY, half)
    morning, afternoon = cells_of(plan, WEDNESDAY, issued=issued)
    assert [cell.stints[0].is_new for cell in (morning, afternoon)] == [False, True]


def test_nothing_is_new_when_nobody_was_told_anything(plan, edda, package):
    book(plan, edda, package, WEDNESDAY)
    assert not week_of(plan).has_new


def test_past_booking_cannot_move(plan, edda, package):
    book(plan, edda, package, MONDAY)
    assert not cells_of(plan, MONDAY)[0].stints[0].can_move


def test_broken_rule_is_numbered_at_the_work_it_names(plan, edda, package):
    book(plan, edda, package, WEDNESDAY)
    plan.facts = {"broken": [{"words": "Too early.", "keys": [package_key(package.pk)]}]}
    assert cells_of(plan, WEDNESDAY)[0].stints[0].numbers == (1,)
    assert [note.words for note in week_of(plan).notes] == ["Too early."]


def test_broken_rule_about_a_person_is_numbered_at_all_their_work(plan, edda, package):
    book(plan, edda, package, WEDNESDAY)
    plan.facts = {"broken": [{"words": "Too many hours.", "keys": [person_key(edda.pk)]}]}
    assert cells_of(plan, WEDNESDAY)[0].stints[0].numbers == (1,)


def test_broken_rule_of_another_week_is_left_to_the_review(plan, package):
    plan.facts = {"broken": [{"words": "Too early.", "keys": [package_key(package.pk)]}]}
    assert week_of(plan).notes == ()


def test_visit_is_shown_on_each_of_its_days_with_its_half(plan, job):
    span(plan, job.visits.get(), WEDNESDAY, date(2027, 1, 14), ends_half="am")
    labels = [[visit.label for visit in other.visits] for other in week_of(plan).others]
    assert labels == [[], [], ["all day"], ["morning"], []]


def test_delivery_is_shown_on_the_day_it_is_expected(plan):
    Order.objects.create(
        firm=plan.firm, supplier=make_supplier(plan.firm), reference="A1", placed_on=MONDAY, promised_on=TODAY,
        expected_on=WEDNESDAY,
    )
    assert [len(other.orders) for other in week_of(plan).others] == [0, 0, 1, 0, 0]


def test_reason_follows_causes_back(plan, job):
    first, second = job.packages.all()
    span(plan, first, TODAY, cause={"kind": "now", "words": "nothing sooner", "because_of": None})
    because = {"kind": "predecessor", "words": "first fix ends", "because_of": package_key(first.pk)}
    span(plan, second, WEDNESDAY, cause=because)
    assert [len(reason.steps) for reason in week_of(plan).reasons] == [1, 2]
    assert week_of(plan).reasons[1].steps[1].title == "First fix, Upstairs, Mill Lane"


def test_reasons_in_a_circle_end(plan, package):
    span(plan, package, TODAY, cause={"words": "itself", "because_of": package_key(package.pk)})
    assert len(week_of(plan).reasons[0].steps) == 1


def test_job_that_finishes_after_its_promise_is_late(plan, job, package):
    job.promised_finish_on = TODAY
    job.save()
    span(plan, package, WEDNESDAY)
    (finish,) = week_of(plan).late
    assert (finish.job, finish.days_late) == (job, 1)


def test_agreed_visit_that_is_past_is_asked_about(plan, job):
    job.visits.update(state=Visit.State.ACCEPTED, starts_on=TODAY - timedelta(days=6))
    assert list(week_of(plan).overdue) == list(job.visits.all())


def test_other_firms_week_is_empty(plan, edda, package):
    other = make_firm("Other")
    book(plan, edda, package, WEDNESDAY)
    assert load_week(other, None, MONDAY, TODAY).rows == ()


def test_query_count_is_flat_when_people_and_jobs_are_added(plan):
    fill(plan)
    few = count_queries(plan)
    for _ in range(4):
        fill(plan)
    assert count_queries(plan) == few


def fill(plan) -> None:
    house = make_job(plan.firm)
    package = make_package(make_area(house))
    book(plan, make_person(plan.firm), package, WEDNESDAY)
    span(plan, package, WEDNESDAY, cause={"words": "now"})
    span(plan, make_visit(house), WEDNESDAY)


def count_queries(plan) -> int:
    with CaptureQueriesContext(connection) as queries:
        week_of(plan)
    return len(queries)


def test_other_half_is_found_when_the_same_work_fills_the_day(plan, edda, package):
    morning = book(plan, edda, package, WEDNESDAY)
    assert not has_other_half(morning)
    book(plan, edda, package, WEDNESDAY, "pm")
    assert has_other_half(morning)


def test_week_begins_on_monday():
    assert monday_of(date(2027, 1, 17)) == MONDAY

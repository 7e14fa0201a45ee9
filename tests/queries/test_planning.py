"""Rows → the planner's problem."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.core.planning.problem import LinkKind
from jobs.core.stages import Half
from jobs.models import CalendarDay, ContactAway, Dependency, Job, Pin, Plan, Visit
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import package_key, person_key, visit_key
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_plan,
    make_visit,
)
from tests.planning import book, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(firm):
    return make_job(firm, "Mill Lane", state=Job.State.BOOKED)


@pytest.fixture
def package(job):
    return make_package(make_area(job))


def test_sessions_start_on_this_weeks_monday_and_planning_today(firm):
    problem = load_problem(firm, TODAY, Half.AFTERNOON)
    assert problem.sessions.first_on == date(2027, 1, 11)
    assert str(problem.sessions[problem.first_session]) == "Tue 12 Jan pm"


def test_firms_own_closed_day_has_no_session(firm):
    CalendarDay.objects.create(firm=firm, on=date(2027, 1, 13), name="Stocktaking")
    assert load_problem(firm, TODAY).sessions.index(date(2027, 1, 13)) is None


@pytest.mark.parametrize("state", [Job.State.SURVEYED, Job.State.HANDED_OVER, Job.State.DROPPED])
def test_job_is_left_out_when_it_is_not_in_work(firm, state):
    make_package(make_area(make_job(firm, state=state)))
    assert load_problem(firm, TODAY).packages == ()


def test_other_firms_rows_are_left_out(firm, package):
    other = make_firm("Other")
    make_person(other)
    make_package(make_area(make_job(other, state=Job.State.BOOKED)))
    problem = load_problem(firm, TODAY)
    assert [found.key for found in problem.packages] == [package_key(package.pk)]
    assert problem.people == ()


def test_query_count_is_flat_when_jobs_are_added(firm):
    make_house(firm)
    few = count_queries(firm)
    for _ in range(5):
        make_house(firm)
    assert count_queries(firm) == few


def make_house(firm):
    house = make_job(firm, state=Job.State.BOOKED, promised_finish_on=TODAY + timedelta(days=40))
    area = make_area(house)
    before, after = make_package(area, "first_fix"), make_package(area, "second_fix")
    Dependency.objects.create(firm=firm, job=house, before_package=before, after_package=after)
    contact = make_contact(firm)
    ContactAway.objects.create(firm=firm, contact=contact, starts_on=TODAY, ends_on=TODAY)
    make_visit(house, contact)


def count_queries(firm) -> int:
    with CaptureQueriesContext(connection, ) as queries:
        load_problem(firm, TODAY)
    return len(queries)


def test_dependency_becomes_a_link(firm, job, package):
    visit = make_visit(job)
    Dependency.objects.create(
        firm=firm, job=job, before_package=package, after_visit=visit, kind="inside", lag_days=3, reason="floors up"
    )
    (link,) = load_problem(firm, TODAY).links
    assert (link.before, link.after, link.kind) == (package_key(package.pk), visit_key(visit.pk), LinkKind.INSIDE)
    assert (link.lag_days, link.reason) == (3, "floors up")


def test_cancelled_visit_hands_its_waits_on(firm, job, package):
    later = make_package(package.area, "second_fix")
    gone = make_visit(job, state=Visit.State.CANCELLED)
    Dependency.objects.create(firm=firm, job=job, before_package=package, after_visit=gone)
    Dependency.objects.create(firm=firm, job=job, before_visit=gone, after_package=later)
    problem = load_problem(firm, TODAY)
    assert [(link.before, link.after) for link in problem.links] == [(package_key(package.pk), package_key(later.pk))]
    assert problem.visits == ()


def test_promise_allows_the_whole_of_its_day(firm, job):
    job.promised_finish_on = date(2027, 1, 15)
    job.save()
    problem = load_problem(firm, TODAY)
    assert str(problem.sessions[problem.promises[0].session]) == "Fri 15 Jan pm"


def test_newest_told_date_counts(firm, job):
    visit = make_visit(job)
    tell(visit, date(2027, 2, 1))
    tell(visit, date(2027, 2, 3))
    problem = load_problem(firm, TODAY)
    assert [problem.sessions.on(told.session) for told in problem.told] == [date(2027, 2, 3)]


def test_pin_counts_when_it_lies_ahead_and_its_person_is_here(firm, package):
    here, gone = make_person(firm), make_person(firm, is_active=False)
    for person, on in ((here, TODAY), (here, date(2027, 1, 11)), (gone, TODAY), (here, date(2027, 1, 16))):
        Pin.objects.create(firm=firm, person=person, package=package, on=on, half="am", made_at=NOW)
    problem = load_problem(firm, TODAY)
    assert [(pin.person, problem.sessions.on(pin.session)) for pin in problem.pins] == [(person_key(here.pk), TODAY)]


def test_issued_bookings_from_today_are_what_people_hold(firm, package):
    person = make_person(firm)
    issued, draft = make_plan(firm, Plan.State.ISSUED), make_plan(firm)
    book(issued, person, package, TODAY)
    book(issued, person, package, TODAY - timedelta(days=1))
    book(draft, person, package, TODAY + timedelta(days=1))
    problem = load_problem(firm, TODAY)
    assert [problem.sessions.on(booking.session) for booking in problem.bookings] == [TODAY]


def test_horizon_reaches_past_every_named_day(firm, job):
    job.promised_finish_on = TODAY + timedelta(days=300)
    job.save()
    assert load_problem(firm, TODAY).sessions.last_on > job.promised_finish_on


def test_problem_is_made_when_named_days_lie_at_the_end_of_time(firm):
    job = make_job(firm, state=Job.State.BOOKED, promised_finish_on=date.max, earliest_start_on=date.max)
    make_package(make_area(job), not_before_on=date.max)
    problem = load_problem(firm, TODAY)
    assert problem.promises[0].session == len(problem.sessions) - 1

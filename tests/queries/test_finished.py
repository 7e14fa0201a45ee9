from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.models import Plan
from jobs.queries.finished import load_finished
from tests.factories import NOW, make_area, make_firm, make_job, make_package, make_person, make_plan, make_room
from tests.learning import say_hours
from tests.planning import book

pytestmark = pytest.mark.django_db

MONDAY, TUESDAY = date(2027, 1, 4), date(2027, 1, 5)
SUNDAY_EVENING = datetime(2027, 1, 3, 19, 0, tzinfo=UTC)


@pytest.fixture
def package():
    area = make_area(make_job(make_firm()))
    make_room(area)
    return make_package(area, finished_at=NOW)


@pytest.fixture
def ann(package):
    return make_person(package.firm, "Ann")


@pytest.fixture
def plan(package):
    return make_plan(package.firm, Plan.State.ISSUED, issued_at=SUNDAY_EVENING)


def test_hours_said_count_when_a_package_is_finished(package, ann):
    say_hours(package, ann, 6, MONDAY)
    [found] = load_finished(package.firm)
    assert (found.package, found.actual_hours, found.said_share) == (package, 6, 1)


def test_hours_are_an_electricians_when_an_apprentice_worked_them(package):
    say_hours(package, make_person(package.firm, "Tom", "apprentice", productivity="0.50"), 6, MONDAY)
    assert load_finished(package.firm)[0].actual_hours == 3


def test_nothing_counts_when_the_package_is_not_finished(package, ann):
    package.finished_at = None
    package.save()
    say_hours(package, ann, 6, MONDAY)
    assert load_finished(package.firm) == []


def test_bookings_count_when_nobody_said_hours(package, ann, plan):
    book(plan, ann, package, MONDAY)
    book(plan, ann, package, MONDAY, half="pm")
    [found] = load_finished(package.firm)
    assert (found.actual_hours, found.said_share) == (8, 0)


def test_hours_said_win_when_the_day_was_booked_too(package, ann, plan):
    book(plan, ann, package, MONDAY)
    book(plan, ann, package, TUESDAY)
    say_hours(package, ann, 6, MONDAY)
    [found] = load_finished(package.firm)
    assert (found.actual_hours, found.said_share) == (10, 0.6)


def test_a_person_who_said_they_were_not_there_counts_for_nothing_when_booked(package, ann, plan):
    book(plan, ann, package, MONDAY)
    book(plan, ann, package, TUESDAY)
    say_hours(package, ann, 0, MONDAY)
    assert load_finished(package.firm)[0].actual_hours == 4


def test_only_the_plan_in_force_counts_when_another_was_issued_in_between(package, ann, plan):
    plan.state = Plan.State.REPLACED
    plan.save()
    later = make_plan(package.firm, Plan.State.ISSUED, issued_at=SUNDAY_EVENING + timedelta(days=1))
    for on in (MONDAY, TUESDAY):
        book(plan, ann, package, on)
        book(later, ann, package, on)
    assert load_finished(package.firm)[0].actual_hours == 8


def test_bookings_past_the_last_tick_count_for_nothing_when_work_ended_early(package, ann, plan):
    book(plan, ann, package, MONDAY)
    book(plan, ann, package, NOW.date() + timedelta(days=1))
    assert load_finished(package.firm)[0].actual_hours == 4


def test_a_draft_counts_for_nothing_when_hours_are_counted(package, ann):
    book(make_plan(package.firm), ann, package, MONDAY)
    assert load_finished(package.firm) == []


def test_only_packages_with_hours_said_are_found_when_asked_for(package, ann, plan):
    book(plan, ann, package, MONDAY)
    assert load_finished(package.firm, only_said=True) == []


def test_another_firms_packages_are_left_out_when_both_have_some(package, ann):
    say_hours(package, ann, 6, MONDAY)
    assert load_finished(make_firm("Other firm")) == []

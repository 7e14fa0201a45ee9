"""A stored plan → the planner's plan."""

from datetime import date

import pytest

from jobs.actions.plan_rows import save_draft
from jobs.core.planning import check_plan, quick_plan
from jobs.models import Person, Plan
from jobs.queries.plan_rows import load_before, load_plan
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import package_key
from tests.factories import NOW, TODAY, make_plan
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return make_working_firm()


def test_plan_comes_back_as_it_was_saved(job):
    problem = load_problem(job.firm, TODAY)
    answer = quick_plan(problem)
    draft = save_draft(firm=job.firm, problem=problem, answer=answer, version=None, by=None, now=NOW)
    loaded = load_plan(draft, problem)
    assert loaded.bookings == tuple(sorted(answer.bookings))
    assert {key: (kept.first, kept.last) for key, kept in loaded.spans.items()} == {
        key: (kept.first, kept.last) for key, kept in answer.spans.items()
    }


def test_saved_plan_keeps_the_rules_it_kept(job):
    problem = load_problem(job.firm, TODAY)
    answer = quick_plan(problem)
    draft = save_draft(firm=job.firm, problem=problem, answer=answer, version=None, by=None, now=NOW)
    assert check_plan(problem, load_plan(draft, problem)) == check_plan(problem, answer) == []


def test_what_is_past_is_left_out(job):
    plan, package = make_plan(job.firm), job.packages.first()
    edda = Person.objects.get(name="Edda Marsh")
    book(plan, edda, package, date(2027, 1, 11))
    book(plan, edda, package, TODAY, "pm")
    problem = load_problem(job.firm, TODAY)
    assert [str(problem.sessions[booking.session]) for booking in load_plan(plan, problem).bookings] == ["Tue 12 Jan pm"]


def test_span_runs_over_its_bookings(job):
    plan, package = make_plan(job.firm), job.packages.first()
    span(plan, package, TODAY)
    book(plan, Person.objects.get(name="Edda Marsh"), package, date(2027, 1, 14), "pm")
    problem = load_problem(job.firm, TODAY)
    kept = load_plan(plan, problem).spans[package_key(package.pk)]
    assert str(problem.sessions[kept.first]) == str(problem.sessions[kept.last]) == "Thu 14 Jan pm"


def test_who_goes_alongside_is_still_alongside_when_the_plan_comes_back(job):
    job.packages.update(most_people=1)
    problem = load_problem(job.firm, TODAY)
    answer = quick_plan(problem)
    draft = save_draft(firm=job.firm, problem=problem, answer=answer, version=None, by=None, now=NOW)
    names = set(draft.bookings.filter(is_alongside=True).values_list("person__name", flat=True))
    assert names == {"Tom Reed"}
    assert any(booking.is_alongside for booking in load_plan(draft, problem).bookings)


def test_work_is_no_longer_when_someone_alongside_comes_a_day_later(job):
    plan, package = make_plan(job.firm), job.packages.first()
    book(plan, Person.objects.get(name="Edda Marsh"), package, TODAY)
    book(plan, Person.objects.get(name="Tom Reed"), package, date(2027, 1, 14), is_alongside=True)
    problem = load_problem(job.firm, TODAY)
    kept = load_plan(plan, problem).spans[package_key(package.pk)]
    assert str(problem.sessions[kept.last]) == "Tue 12 Jan am"


def test_the_next_plan_is_compared_with_the_draft_when_there_is_one(job):
    problem = load_problem(job.firm, TODAY)
    assert load_before(job.firm, problem) is None
    for state, on in ((Plan.State.ISSUED, TODAY), (Plan.State.DRAFT, date(2027, 1, 14))):
        span(make_plan(job.firm, state), job.packages.first(), on)
    (kept,) = load_before(job.firm, problem).spans.values()
    assert problem.sessions[kept.first].on == date(2027, 1, 14)

from datetime import date, timedelta

import pytest

from jobs.core.stages import Half
from jobs.core.workdays import Session
from jobs.models import Dependency, Plan, SuggestedDay, ToldDate, Visit
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import visit_key
from jobs.queries.suggestions import load_suggestions
from tests.factories import NOW, TODAY, make_contact, make_plan, make_visit
from tests.planning import make_working_firm, span, tell

pytestmark = pytest.mark.django_db

MONDAY = date(2027, 2, 1)


@pytest.fixture
def visit() -> Visit:
    job = make_working_firm()
    return job.visits.select_related("firm", "contact").get()


def suggest(visit: Visit, *days: tuple[date, str], instead_of: date = MONDAY) -> ToldDate:
    told = tell(visit, instead_of)
    ToldDate.objects.filter(pk=told.pk).update(answer="suggested")
    Visit.objects.filter(pk=visit.pk).update(state="declined", starts_on=instead_of)
    visit.refresh_from_db()
    for on, half in days:
        SuggestedDay.objects.create(firm_id=visit.firm_id, told=told, visit=visit, on=on, half=half)
    return told


def wait(visit: Visit, **ends: object) -> None:
    Dependency.objects.create(firm_id=visit.firm_id, job=visit.job, kind="finish_start", **ends)


def planned(visit: Visit):
    problem = load_problem(visit.firm, TODAY)
    return problem, next(row for row in problem.visits if row.key == visit_key(visit.pk))


def test_planner_tries_the_first_day_when_days_are_suggested(visit):
    suggest(visit, (date(2027, 2, 3), "pm"), (date(2027, 2, 5), "am"))
    problem, asked = planned(visit)
    assert problem.sessions[asked.asked] == Session(date(2027, 2, 3), Half.AFTERNOON)


def test_planner_keeps_off_the_told_day_when_another_is_suggested(visit):
    suggest(visit, (date(2027, 2, 3), "am"))
    problem, asked = planned(visit)
    assert {problem.sessions.index(MONDAY, half) for half in ("am", "pm")} <= asked.declined


def test_other_half_stays_free_when_they_suggest_the_same_day(visit):
    suggest(visit, (MONDAY, "pm"))
    problem, asked = planned(visit)
    assert (problem.sessions.index(MONDAY, "am") in asked.declined, problem.sessions.index(MONDAY, "pm") in asked.declined) == (
        True, False,
    )


def test_nobody_is_held_to_the_old_date_when_days_are_suggested(visit):
    suggest(visit, (date(2027, 2, 3), "am"))
    assert load_problem(visit.firm, TODAY).told == ()


def test_each_day_is_tried_when_several_are_suggested(visit):
    suggest(visit, (date(2027, 2, 8), "am"), (date(2027, 2, 9), "am"))
    found = load_suggestions(visit, NOW)
    assert [(row.day.on, row.why_not, row.broken) for row in found] == [(date(2027, 2, 8), "", ()), (date(2027, 2, 9), "", ())]


def test_words_say_so_when_nobody_works_on_a_suggested_day(visit):
    suggest(visit, (date(2027, 2, 6), "am"))
    (found,) = load_suggestions(visit, NOW)
    assert (found.changes, "does not work then" in found.why_not) == (None, True)


def test_what_breaks_is_said_when_a_day_comes_before_the_work_it_needs(visit):
    package = visit.job.packages.get(stage="first_fix")
    wait(visit, before_package=package, after_visit=visit)
    suggest(visit, (TODAY + timedelta(days=1), "am"))
    (found,) = load_suggestions(visit, NOW)
    assert found.broken


def test_told_date_of_another_trade_is_named_when_it_would_move(visit):
    other = make_visit(visit.job, make_contact(visit.firm, name="Quill"), state="asked", starts_on=date(2027, 2, 3))
    wait(visit, before_visit=visit, after_visit=other)
    tell(other, date(2027, 2, 3))
    plan = make_plan(visit.firm, Plan.State.ISSUED)
    span(plan, visit, MONDAY, date(2027, 2, 2))
    span(plan, other, date(2027, 2, 3), date(2027, 2, 4))
    suggest(visit, (date(2027, 2, 10), "am"))
    (found,) = load_suggestions(visit, NOW)
    (moved,) = found.changes.told
    assert (moved.told, moved.key) == ("Quill", visit_key(other.pk))


def test_nothing_is_kept_when_days_are_tried(visit):
    suggest(visit, (date(2027, 2, 8), "am"))
    before = Plan.objects.count(), Visit.objects.values().get()
    load_suggestions(visit, NOW)
    assert (Plan.objects.count(), Visit.objects.values().get()) == before

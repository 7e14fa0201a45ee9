"""Planning again from the plan before: nothing moves for nothing."""

from dataclasses import replace

import pytest

from jobs.core.planning import improve_plan, quick_plan
from jobs.core.planning.build import build
from jobs.core.planning.earlier import measure
from jobs.core.planning.plan import Plan, Span, Status
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Problem
from tests.core.planning.cast import ANN, BOB, CAL, after, package, problem, visit

WORK = portfolio(4, jobs=3, people=5)


@pytest.fixture(scope="module")
def draft() -> Plan:
    """A plan that the quick pass would not make: the best of a longer search."""
    return improve_plan(WORK, seconds=0.2, is_deterministic=True)


def starts(plan: Plan) -> dict[str, int]:
    return {key: span.first for key, span in plan.spans.items()}


def test_a_plan_stands_when_nothing_happened(draft: Plan) -> None:
    again = quick_plan(WORK, before=draft)
    assert draft.objective < quick_plan(WORK).objective
    assert starts(again) == starts(draft)


def test_work_planned_before_stays_when_a_new_job_comes(draft: Plan) -> None:
    new = package("new", 12, job="new", not_before=8)
    again = quick_plan(replace(WORK, packages=(*WORK.packages, new)), before=draft)
    assert {key: starts(again)[key] for key in draft.spans} == starts(draft)


def test_a_plan_measures_as_it_was_made_when_nothing_changed(draft: Plan) -> None:
    assert measure(build(WORK), draft) == draft.objective


def test_moved_starts_count_when_a_plan_was_there_before(draft: Plan) -> None:
    moved = replace(draft, spans={key: replace(span, first=span.first + 90) for key, span in draft.spans.items()})
    assert measure(build(WORK, moved), draft).flow == draft.objective.flow + len(draft.spans)


def two_houses(**fields: object) -> Problem:
    """One electrician, two houses of a day each."""
    return problem(package(), package("oak", job="oak"), **{"people": (ANN,), **fields})


@pytest.mark.parametrize("first", ["fix", "oak"])
def test_the_order_of_before_is_kept_when_another_is_no_better(first: str) -> None:
    spans = {key: Span(key, 0, 1, 0.0, 2.0) if key == first else Span(key, 2, 3, 2.0, 4.0) for key in ("fix", "oak")}
    before = Plan(Status.FEASIBLE, spans)
    assert starts(quick_plan(two_houses(), before=before))[first] == 0
    assert starts(improve_plan(two_houses(), before=before, seconds=0.05, is_deterministic=True))[first] == 0


def test_people_stay_on_their_site_when_others_could_go() -> None:
    both = two_houses(people=(ANN, BOB))
    first = quick_plan(both)
    swapped = {"ann": "bob", "bob": "ann"}
    before = replace(first, bookings=tuple(replace(b, person=swapped[b.person]) for b in first.bookings))
    assert set(quick_plan(both, before=before).bookings) == set(before.bookings)


def test_the_plan_before_is_kept_when_no_better_one_is_found_and_it_still_keeps_the_rules(draft: Plan) -> None:
    plan = improve_plan(WORK, before=draft, seconds=0.01, is_deterministic=True)
    assert plan.objective.terms() <= measure(build(WORK, draft), draft).terms()


def test_the_plan_before_gives_way_when_it_breaks_rules_now() -> None:
    work = problem(package(), visit(), links=(after("fix", "plaster"),), people=(ANN, CAL))
    before = quick_plan(work)
    sick = replace(work, people=(replace(ANN, away={0: "off sick", 1: "off sick"}), CAL))
    plan = improve_plan(sick, before=before, seconds=0.05, is_deterministic=True)
    assert (plan.broken, starts(plan)) == ((), {"fix": 2, "plaster": 4})


def test_a_plan_without_anything_changes_nothing_when_it_was_there_before() -> None:
    assert quick_plan(two_houses(), before=Plan(Status.INFEASIBLE)) == quick_plan(two_houses())


def test_the_plan_before_gives_way_when_more_time_is_to_be_kept_in_hand() -> None:
    work = problem(package(), visit(), links=(after("fix", "plaster"),), people=(ANN,))
    before = quick_plan(work)
    careful = replace(work, links=(after("fix", "plaster", spare_sessions=2),))
    plan = improve_plan(careful, before=before, seconds=0.05, is_deterministic=True)
    assert starts(plan) == {"fix": 0, "plaster": 4}

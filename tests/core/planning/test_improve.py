"""Improved plans: as good as they can be where that is known, told dates moved as little as possible, stoppable."""

from dataclasses import replace
from datetime import date

from jobs.core.planning import improve_plan, quick_plan
from jobs.core.planning.plan import Status
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Mix, Pin, Promise, Told
from tests.core.planning.cast import ANN, BOB, CAL, after, package, problem, visit

TWO_HOUSES = problem(
    package(hours=16, mixes=(Mix(1), Mix(1, 1))),
    package("oak", hours=16, job="oak", mixes=(Mix(1), Mix(1, 1))),
    visit("mill plaster"),
    visit("oak plaster", job="oak"),
    links=(after("fix", "mill plaster"), after("oak", "oak plaster")),
    people=(ANN, BOB, CAL),
)


def test_a_small_plan_is_proven_best_when_time_allows() -> None:
    plan = improve_plan(TWO_HOUSES, seconds=20)
    assert plan.status == Status.OPTIMAL
    assert (plan.gap, plan.bound) == (0.0, plan.objective)


def test_only_one_told_date_moves_when_one_must_and_that_is_proven() -> None:
    told = (Told("mill plaster", 4), Told("oak plaster", 4))
    sick = replace(ANN, away=dict.fromkeys(range(6), "off sick"))
    plan = improve_plan(replace(TWO_HOUSES, told=told, people=(sick, BOB)), seconds=20)
    assert (plan.objective.told_moved, plan.bound.told_moved) == (1, 1)


def test_no_told_date_moves_when_others_can_step_in() -> None:
    told = (Told("mill plaster", 8), Told("oak plaster", 8))
    plan = improve_plan(replace(TWO_HOUSES, told=told, people=(BOB,)), seconds=5)
    assert plan.objective.told_moved == 0


def test_a_promise_comes_before_told_dates_when_both_cannot_be_kept() -> None:
    work = replace(TWO_HOUSES, people=(ANN,), told=(Told("mill plaster", 4),), promises=(Promise("oak", 5, date(2027, 1, 13)),))
    plan = improve_plan(work, seconds=5)
    assert plan.objective.terms()[:2] == (0, 1)


def test_the_plan_is_never_worse_when_a_seed_is_given() -> None:
    work = portfolio(3, jobs=3, people=4)
    seed = improve_plan(work, seconds=0.5)
    plan = improve_plan(work, seed=seed, seconds=0.2)
    assert not seed.objective < plan.objective


def test_the_search_ends_at_once_when_told_to_stop() -> None:
    asked = []
    plan = improve_plan(portfolio(1, jobs=6), seconds=600, should_stop=lambda: asked.append(1) or len(asked) > 3)
    assert len(asked) == 4
    assert plan.broken == ()


def test_progress_only_gets_better_when_it_is_heard() -> None:
    heard = []
    improve_plan(portfolio(2, jobs=2, people=3), seconds=1, on_progress=heard.append)
    terms = [progress.objective.terms() for progress in heard]
    assert terms == sorted(terms, reverse=True)
    assert all(progress.bound.flow <= progress.objective.flow for progress in heard)


def test_the_same_plan_comes_out_when_work_is_counted_instead_of_time() -> None:
    work = portfolio(5, jobs=1, people=3)
    one, other = (improve_plan(work, seconds=0.1, is_deterministic=True) for _ in range(2))
    assert (one.spans, one.bookings) == (other.spans, other.bookings)


def test_a_plan_is_found_when_placing_in_order_alone_does_not_find_one() -> None:
    pins = (Pin("a", "fix", 4, "ann"), Pin("b", "oak", 4, "bob"))
    plan = improve_plan(replace(TWO_HOUSES, pins=pins), seconds=5)
    assert plan.broken == ()


def test_wishes_in_conflict_are_named_when_a_plan_cannot_keep_them() -> None:
    visits = tuple(replace(each, accepted=2) for each in TWO_HOUSES.visits)
    plan = improve_plan(replace(TWO_HOUSES, visits=visits, people=(ANN,)), seconds=10)
    assert plan.status == Status.INFEASIBLE
    assert {wish.key for conflict in plan.conflicts for wish in conflict.wishes} <= {"mill plaster", "oak plaster"}
    assert plan.conflicts


def test_quick_and_improved_plans_measure_alike_when_nothing_can_be_better() -> None:
    work = problem(package(), visit(), links=(after("fix", "plaster"),))
    assert improve_plan(work, seconds=5).objective == quick_plan(work).objective

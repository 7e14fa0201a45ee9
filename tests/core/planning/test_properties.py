"""What holds of every portfolio."""

from dataclasses import replace
from datetime import time

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jobs.core.planning import check_plan, improve_plan, input_checks, quick_plan
from jobs.core.planning.plan import Status
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Mix, Problem
from jobs.core.workdays import Calendar, sessions_between
from tests.core.planning.cast import ANN, BOB, after, package, problem, visit

SEEDS = st.integers(0, 10**6)
ANY_PORTFOLIO = st.builds(portfolio, SEEDS, jobs=st.integers(1, 4), people=st.integers(2, 7))
HOURS = st.lists(st.sampled_from((2.0, 5.0, 8.0, 13.0)), min_size=2, max_size=4)


@settings(max_examples=15, deadline=None, derandomize=True)
@given(ANY_PORTFOLIO)
def test_every_rule_is_kept_when_a_plan_is_made_at_once(work: Problem) -> None:
    assert check_plan(work, quick_plan(work)) == []


@settings(max_examples=4, deadline=None, derandomize=True)
@given(ANY_PORTFOLIO)
def test_every_rule_is_kept_when_a_plan_is_improved(work: Problem) -> None:
    plan = improve_plan(work, seconds=0.03, is_deterministic=True)
    assert check_plan(work, plan) == []
    assert not quick_plan(work).objective < plan.objective


@settings(max_examples=6, deadline=None, derandomize=True)
@given(ANY_PORTFOLIO)
def test_the_same_plan_is_made_when_the_problem_is_the_same(work: Problem) -> None:
    assert quick_plan(work) == quick_plan(replace(work))


@st.composite
def odd_portfolios(draw: st.DrawFn) -> Problem:
    """Portfolios with part-timers, hour limits, uneven halves, work that must close, nothing left, or a lot left."""
    work, random = draw(ANY_PORTFOLIO), draw(st.randoms(use_true_random=False))
    calendar = Calendar(morning=(time(7, 30), time(12, 30)), afternoon=(time(13), time(16, random.choice((0, 30)))))
    people = [replace(p, afternoon_hours=random.choice((None, 2.0, 3.0))) for p in work.people]
    people = [replace(p, weekly_hours_limit=random.choice((None, None, 24.0, 37.5))) for p in people]
    packages = [replace(p, labour_hours=random.choice((p.labour_hours, p.labour_hours, 0.0, 0.3, 90.0))) for p in work.packages]
    packages = [replace(p, must_close_same_day=p.labour_hours < 4 and random.random() < 0.5) for p in packages]
    sessions = sessions_between(calendar, work.sessions.first_on, work.sessions.last_on)
    return replace(work, sessions=sessions, people=tuple(people), packages=tuple(packages))


@settings(max_examples=12, deadline=None, derandomize=True)
@given(odd_portfolios())
def test_every_rule_is_kept_when_people_and_work_are_out_of_the_ordinary(work: Problem) -> None:
    assume(not input_checks.sentences(work))
    assert check_plan(work, quick_plan(work)) == []


def houses(hours: list[float]) -> Problem:
    """A package and a visit after it in each house, two electricians."""
    packages = [package(f"fix {n}", each, job=f"house {n}", mixes=(Mix(1), Mix(2))) for n, each in enumerate(hours)]
    visits = [visit(f"plaster {n}", job=f"house {n}") for n in range(len(hours))]
    links = tuple(after(f"fix {n}", f"plaster {n}") for n in range(len(hours)))
    return problem(*packages, *visits, links=links, people=(ANN, BOB))


@settings(max_examples=5, deadline=None, derandomize=True)
@given(HOURS, st.data())
def test_the_best_plan_is_no_later_when_work_is_taken_out(hours: list[float], data: st.DataObject) -> None:
    number = data.draw(st.integers(0, len(hours) - 1))
    less = [max(0.25, each - 2) if n == number else each for n, each in enumerate(hours)]
    before, after_ = (improve_plan(houses(each), seconds=30) for each in (hours, less))
    assert before.status == after_.status == Status.OPTIMAL
    assert after_.objective.flow <= before.objective.flow

"""Ranges of dates: exact without spread, calibrated against plain simulations, never earlier with more spread."""

from dataclasses import replace
from datetime import date
from itertools import pairwise
from math import exp, log
from random import Random
from statistics import NormalDist

import pytest

from jobs.core.planning import measure_risk, quick_plan
from jobs.core.planning.offers import settle
from jobs.core.planning.plan import Plan
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import LinkKind, Problem, Promise, Told
from jobs.core.planning.spreads import PRIOR_SPREADS, VISIT_SPREAD, Spreads
from jobs.core.workdays import bank_holidays
from tests.core.planning.cast import ANN, BOB, MONDAY, after, package, problem, sessions, visit
from tests.core.planning.lived import Step, live_through

NONE = Spreads(dict.fromkeys(PRIOR_SPREADS, 0.0), 0.0)
USUAL = Spreads()


def wider(times: float) -> Spreads:
    return Spreads({stage: times * spread for stage, spread in PRIOR_SPREADS.items()}, times * VISIT_SPREAD)


def house(times: int = 1) -> Problem:
    """First fix, plaster, seven days of drying, second fix and test, all by Ann."""
    return problem(
        package("first", 22 * times), visit("plaster", 4), package("second", 13 * times), package("test", 6 * times),
        people=(ANN,), sessions=sessions(last=date(2028, 6, 30), region="SCT", opened=OPEN),
        links=(after("first", "plaster"), after("plaster", "second", lag_days=7), after("second", "test")),
    )


OPEN = {day: "open" for region_year in (2027, 2028) for day in bank_holidays("SCT", region_year) if day.weekday() < 5}
"""No bank holidays, so that plain weeks can be counted."""


@pytest.mark.parametrize(("seed", "jobs", "people"), [(1, 4, 5), (2, 3, 3), (5, 2, 4)])
def test_ranges_are_the_plan_when_there_is_no_spread(seed: int, jobs: int, people: int) -> None:
    work = portfolio(seed, jobs, people)
    plan = quick_plan(work)
    ranges = measure_risk(work, plan, NONE).ranges
    assert {key: (r.likely_first, r.safe_first, r.likely_last, r.safe_last) for key, r in ranges.items()} == {
        key: (span.first, span.first, span.last, span.last) for key, span in plan.spans.items()
    }


def test_the_safe_date_holds_80_percent_of_lives_when_the_plan_is_lived_through() -> None:
    """Long stages, so that half a day is a small share of what is drawn (drying, though, ends on a Monday for three days)."""
    work, random = house(times=10), Random(7)
    plan = quick_plan(work)
    ranges = measure_risk(work, plan, USUAL).ranges
    lives = [live_through(_steps(plan, times=10), MONDAY, _factors(work, random)) for _ in range(4000)]
    for key in ("plaster", "test"):
        held = sum(life[key][0] <= ranges[key].safe_first for life in lives) / len(lives)
        assert held == pytest.approx(0.8, abs=0.03)


def test_shares_agree_with_plain_lives_when_a_date_is_told() -> None:
    work, random = house(), Random(11)
    plan = quick_plan(work)
    told = replace(work, told=(Told("second", plan.spans["second"].first),))
    lives = [live_through(_steps(plan), MONDAY, _factors(work, random)) for _ in range(4000)]
    day = plan.spans["second"].first // 2
    share = sum(life["second"][0] // 2 <= day for life in lives) / len(lives)
    assert measure_risk(told, plan, USUAL).ranges["second"].holds == pytest.approx(share, abs=0.03)


def test_the_safe_date_is_the_textbook_quantile_when_one_package_varies() -> None:
    work = problem(package("first", 40), people=(ANN,))
    found = measure_risk(work, quick_plan(work), USUAL).ranges["first"]
    hours = 40 * exp(0.8416 * PRIOR_SPREADS[work.packages[0].stage])
    assert found.safe_last == int(hours // 4)


@pytest.mark.parametrize("seed", [1, 2, 5, 9])
def test_safe_dates_are_never_earlier_when_spread_grows(seed: int) -> None:
    work = portfolio(seed, 2, 4)
    plan = quick_plan(work)
    ranges = [measure_risk(work, plan, wider(times)).ranges for times in (0.0, 0.5, 1.0, 2.0)]
    safe = [{key: found.safe_last for key, found in some.items()} for some in ranges]
    assert not [key for less, more in pairwise(safe) for key in less if more[key] < less[key]]


def test_answers_are_the_same_when_asked_twice() -> None:
    work = portfolio(3, 2, 4)
    plan = quick_plan(work)
    assert measure_risk(work, plan, USUAL) == measure_risk(work, plan, USUAL)


def test_a_visit_is_never_earlier_than_its_slot_when_it_was_accepted() -> None:
    work = problem(package("first", 8), visit("plaster", accepted=8), people=(ANN,), links=(after("first", "plaster"),))
    found = measure_risk(work, quick_plan(work), USUAL).ranges["plaster"]
    assert (found.likely_first, found.safe_first) == (8, 8)
    assert found.holds > 0.95


def test_an_overrun_pushes_a_visit_when_its_slot_comes_too_soon() -> None:
    """40 hours end on Friday; on Monday the plasterer can start as long as they take no more than 44."""
    work = problem(package("first", 40), visit("plaster", accepted=10), people=(ANN,), links=(after("first", "plaster"),))
    found = measure_risk(work, quick_plan(work), USUAL).ranges["plaster"]
    assert found.safe_first > 10
    assert found.holds == pytest.approx(NormalDist().cdf(log(44 / 40) / 0.25), abs=0.01)


def test_a_pushed_visit_waits_for_a_day_the_trade_works_when_it_is_late() -> None:
    closed = frozenset(range(12, 20))
    work = problem(
        package("first", 40), visit("plaster", accepted=10, closed=closed), people=(ANN,), links=(after("first", "plaster"),)
    )
    firsts = measure_risk(work, quick_plan(work), wider(2)).ranges["plaster"]
    assert firsts.safe_first == 20


def test_drying_counts_rest_days_when_plaster_ends_late() -> None:
    """Done on Friday it is dry on Monday; half a day later, on Monday, it is dry on Thursday."""
    work = problem(visit("plaster", 10), package("second", 8), people=(ANN,), links=(after("plaster", "second", lag_days=3),))
    found = measure_risk(work, quick_plan(work), Spreads(NONE.by_stage, visits=0.1)).ranges["second"]
    assert (found.likely_first, found.safe_first) == (10, 16)


def test_late_work_is_handed_on_when_the_same_people_go_to_another_house() -> None:
    work = problem(package("first", 40), package("other", 8, job="oak", not_before=10), people=(ANN,))
    late = measure_risk(work, quick_plan(work), USUAL).ranges["other"]
    assert late.safe_first > 10


def test_waiting_is_not_handed_on_when_people_have_other_work() -> None:
    """Ann's second package waits for a late visit; her third, at another house, does not."""
    work = problem(
        package("long", 40, excluded=frozenset({"ann"})), visit("plaster", accepted=10),
        package("second", 16, excluded=frozenset({"bob"})),
        package("other", 8, job="oak", not_before=16, excluded=frozenset({"bob"})),
        people=(ANN, BOB), links=(after("long", "plaster"), after("plaster", "second")),
    )
    found = measure_risk(work, quick_plan(work), wider(2)).ranges
    assert found["second"].safe_first > 12
    assert found["other"].likely_first == 16


def test_what_follows_a_stage_waits_for_work_inside_it_when_that_runs_late() -> None:
    inner = problem(
        package("first", 24), visit("plumber", 4), visit("plaster", 2), people=(ANN,),
        links=(after("first", "plumber", kind=LinkKind.INSIDE), after("first", "plaster")),
    )
    still = Spreads(dict.fromkeys(PRIOR_SPREADS, 0.0), 2.0)
    assert measure_risk(inner, quick_plan(inner), still).ranges["plaster"].safe_first > 6


def test_the_chance_of_a_promise_is_told_when_a_job_has_one() -> None:
    work = problem(package("first", 40), people=(ANN,), promises=(Promise("mill", 9, MONDAY),))
    finishes = measure_risk(work, quick_plan(work), USUAL).finishes
    assert finishes["mill"].holds == pytest.approx(0.5, abs=0.05)


def test_nothing_is_told_of_promises_when_a_job_has_none() -> None:
    work = problem(package("first", 40), people=(ANN,))
    assert measure_risk(work, quick_plan(work), USUAL).finishes["mill"].holds is None


def test_work_of_no_hours_stays_in_the_plans_order_when_drawn() -> None:
    work = problem(
        package("empty", 0), package("first", 8, area="Loft", keeps_clear=frozenset({"Upstairs"})), package("last", 0),
        people=(ANN,), links=(after("first", "last"), after("empty", "first"), after("empty", "last", kind=LinkKind.START_START)),
    )
    plan = quick_plan(work)
    firsts = {key: found.safe_first for key, found in measure_risk(work, plan, NONE).ranges.items()}
    assert firsts == {key: span.first for key, span in plan.spans.items()}


def test_nothing_is_asked_when_a_plan_is_empty() -> None:
    assert measure_risk(problem(people=(ANN,)), Plan("feasible"), USUAL).ranges == {}


def test_offered_dates_hold_four_times_in_five_when_a_plan_is_settled() -> None:
    work = problem(package("first", 40), visit("plaster"), people=(ANN,), links=(after("first", "plaster"),))
    settled = settle(work, USUAL, quick_plan, rounds=3)
    assert measure_risk(work, quick_plan(work), USUAL).ranges["plaster"].holds < 0.8
    assert measure_risk(settled.problem, settled.plan, USUAL).ranges["plaster"].holds >= 0.8


def _steps(plan: Plan, times: int = 1) -> tuple[Step, ...]:
    slot = plan.spans["plaster"].first
    return (
        Step("first", hours=22 * times), Step("plaster", half_days=4, slot=slot, drying=7), Step("second", hours=13 * times),
        Step("test", hours=6 * times),
    )


def _factors(work: Problem, random: Random) -> dict[str, float]:
    return {key: exp(random.gauss(0.0, USUAL.of(activity))) for key, activity in work.activities().items()}

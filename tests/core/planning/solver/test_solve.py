"""The constraint model as a whole, and on parts of a schedule."""

from dataclasses import replace
from random import Random

import pytest

from jobs.core.planning import fast, quick_plan
from jobs.core.planning.build import build
from jobs.core.planning.network import Network, score
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Link, Told
from jobs.core.planning.quick import plan_of
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import bounds, neighbourhoods, solve
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.neighbourhood_search import Search
from jobs.core.planning.solver.proof import Proof
from jobs.core.planning.solver.settings import Settings
from jobs.core.planning.solver.variables import Decisions
from jobs.management.bench.disruptions import late_delivery, told
from tests.core.planning.cast import ANN, after, package, problem, visit
from tests.core.planning.networks import is_kept, project

SEVEN = project([4, 3, 2, 5, 2, 3, 4], [(2,), (1,), (2,), (1,), (2,), (1,), (2,)], (3,), [(0, 3), (1, 3), (2, 4), (3, 5), (4, 6)])


def best_of(network: Network) -> solve.State:
    shapes = Shapes(network)
    return solve.solve(network, shapes, fast.fast_schedule(network, shapes), Settings(20))


def test_a_small_project_is_solved_to_the_end_when_it_has_one_mode_and_no_calendar() -> None:
    state = best_of(SEVEN)
    assert state.is_optimal
    assert is_kept(SEVEN, state.schedule)


def test_the_makespan_is_the_work_there_is_when_one_thing_goes_at_a_time() -> None:
    assert best_of(project([3, 4, 5], [(1,), (1,), (1,)], (1,), [])).score[-1] == 12


def test_parts_get_better_and_keep_the_rules_when_they_are_solved_again() -> None:
    built = build(portfolio(7, jobs=3, people=4))
    shapes = Shapes(built.network)
    seed = fast.fast_schedule(built.network, shapes, tasks_placed=0)
    best = Best(built.network, seed.schedule)
    search = Search(built.network, shapes, best, Random(1))
    for _ in range(3):
        search.step(lambda: False)
    assert best.state.score < seed.score
    assert plan_of(built, best.state.schedule).broken == ()


def test_work_carries_on_only_from_what_nearly_meets_it_when_parts_are_solved_again() -> None:
    network = build(portfolio(7, jobs=2, people=4)).network
    shapes, schedule = Shapes(network), fast.fast_schedule(network).schedule
    near = Decisions(network, shapes, network.horizon, near=schedule).tasks
    pairs = [(host, task) for task, its in enumerate(near) for host in its.carries]
    assert pairs
    assert all(abs(schedule[host].end - schedule[task].first) <= 1 for host, task in pairs)
    assert all(placed.host is None or placed.host in its.carries for placed, its in zip(schedule, near, strict=True))


def test_no_schedule_beats_the_bound_when_there_were_always_enough_people() -> None:
    built = build(portfolio(7, jobs=2, people=4))
    shapes = Shapes(built.network)
    assert 0 < bounds.least_flow(built.network, shapes) <= fast.fast_schedule(built.network, shapes).score[-1]


def test_a_bound_is_proven_only_when_the_terms_before_it_are() -> None:
    best = Best(SEVEN, fast.fast_schedule(SEVEN).schedule)
    best.prove(3, 9)
    assert best.state.bound[3] == 0
    for place in range(3):
        best.prove(place, 0)
    best.prove(3, 9)
    assert (best.state.bound[3], best.state.is_optimal) == (9, False)


@pytest.mark.parametrize("seed", range(4))
def test_no_schedule_beats_the_least_terms(seed: int) -> None:
    network = build(portfolio(seed, jobs=3, people=5)).network
    shapes, schedule = Shapes(network), fast.fast_schedule(network).schedule
    spans = [
        max(schedule[task].end for task in group.tasks) - min(schedule[task].first for task in group.tasks)
        for group in network.aim.groups
    ]
    assert all(least <= span for least, span in zip(bounds.least_stretches(network, shapes), spans, strict=True))
    assert all(least <= term for least, term in zip(bounds.least_terms(network, shapes), score(network, schedule), strict=True))


def test_a_told_date_must_move_when_links_alone_rule_it_out() -> None:
    told = (Told("plaster", 2), Told("oak plaster", 2))
    late = package(hours=8, not_before=2)
    links = (after("fix", "plaster"), after("oak", "oak plaster"))
    houses = (late, visit(), package("oak", job="oak"), visit("oak plaster", job="oak"))
    network = build(problem(*houses, links=links, told=told)).network
    assert bounds.least_terms(network, Shapes(network))[1] == 1


def test_a_stretch_holds_the_drying_when_a_job_has_some() -> None:
    """A week from the Thursday before Easter has two working days: three days' work and two days' wait."""
    links = (after("fix", "plaster"), Link("plaster", "oak", lag_days=7))
    network = build(problem(package(), visit(), package("oak"), links=links, people=(ANN,))).network
    assert bounds.least_stretches(network, Shapes(network)) == [6 + 4]


def test_work_around_a_moved_date_is_tried_anew_when_one_is_not_kept() -> None:
    built = build(portfolio(7, jobs=6, people=4))
    schedule = fast.fast_schedule(built.network).schedule
    task = built.tasks_of["job:3/plasterer"][0]
    network = replace(built.network, aim=replace(built.network.aim, told={task: schedule[task].first - 2}))
    tried = [neighbourhoods.free_tasks(network, schedule, Random(number), 12) for number in range(10)]
    assert sum({task, *network.waits_for[task]} <= free for free in tried) >= 4


def test_the_number_of_told_dates_moved_is_proven_least_when_a_delivery_is_late() -> None:
    before = quick_plan(portfolio(2, 4, 5))
    upset = late_delivery(told(portfolio(2, 4, 5), before), before)
    network = build(replace(upset, bookings=()), before).network
    seed = fast.fast_schedule(network, Shapes(network))
    best = Best(network, seed.schedule)
    Proof(network, Shapes(network), best).run(Settings(120, workers=1).started(), with_flow=False)
    assert (best.state.proven, best.state.bound[1]) == (3, best.state.score[1])

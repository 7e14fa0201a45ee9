"""The constraint model as a whole, and on parts of a schedule."""

from random import Random

from jobs.core.planning import fast
from jobs.core.planning.build import build
from jobs.core.planning.network import Network
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.quick import plan_of
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import bounds, solve
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.neighbourhood_search import Search
from jobs.core.planning.solver.settings import Settings
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
    best = Best(built.network, seed.schedule, 0)
    search = Search(built.network, shapes, best, Random(1))
    for _ in range(3):
        search.step(lambda: False)
    assert best.state.score < seed.score
    assert plan_of(built, best.state.schedule).broken == ()


def test_no_schedule_beats_the_bound_when_there_were_always_enough_people() -> None:
    built = build(portfolio(7, jobs=2, people=4))
    shapes = Shapes(built.network)
    assert 0 < bounds.least_flow(built.network, shapes) <= fast.fast_schedule(built.network, shapes).score[-1]


def test_a_bound_is_proven_only_when_the_terms_before_it_are() -> None:
    best = Best(SEVEN, fast.fast_schedule(SEVEN).schedule, 0)
    best.prove(3, 9)
    assert best.state.bound[3] == 0
    for place in range(3):
        best.prove(place, 0)
    best.prove(3, 9)
    assert (best.state.bound[3], best.state.is_optimal) == (9, False)

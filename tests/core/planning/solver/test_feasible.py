from jobs.core.planning.build import build
from jobs.core.planning.fast import fast_schedule
from jobs.core.planning.order_search import Found, found_of
from jobs.core.planning.problem import Problem
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import feasible
from jobs.core.planning.solver.settings import Settings
from tests.core.planning.cast import ANN, BOB, after, package, problem, visit


def repaired(work: Problem, spoilt: str) -> Found:
    """The schedule repaired after the work of one activity was put as late as the visit that waits for it."""
    built = build(work)
    found = fast_schedule(built.network)
    (task,), late = built.tasks_of[spoilt], list(found.schedule)
    first, end, start_tick, end_tick, *rest = late[task]
    late[task] = type(late[task])(first + 1, end + 1, start_tick + 16, end_tick + 16, *rest)
    wrong = found_of(built.network, tuple(late), found.order)
    assert wrong.misfit
    return feasible.repaired(built.network, Shapes(built.network), wrong, Settings(20))


def test_work_goes_back_before_the_visit_that_waits_for_it() -> None:
    work = problem(package(), visit(accepted=2), links=(after("fix", "plaster"),), people=(ANN, BOB))
    assert repaired(work, "fix").misfit == 0


def test_what_can_be_put_right_is_when_something_else_cannot() -> None:
    links = (after("fix", "plaster"), after("oak", "oak plaster"))
    houses = (package(), visit(accepted=2), package("oak", job="oak", not_before=2), visit("oak plaster", job="oak", accepted=2))
    assert repaired(problem(*houses, links=links, people=(ANN, BOB)), "fix").misfit == 2

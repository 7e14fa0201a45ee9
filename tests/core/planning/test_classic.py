"""Classic projects through the planner's core."""

from dataclasses import replace

from hypothesis import given, settings

from jobs.core.planning import classic
from jobs.core.planning.build import build
from jobs.core.planning.portfolios import portfolio
from tests.core.planning.test_packed import projects

TWO_AT_ONCE = classic.Project(
    durations=(3, 2, 4, 2), demands=((1,), (1,), (1,), (2,)), successors=((3,), (), (), ()), capacities=(2,)
)
"""Two and two side by side would take 6, but the last takes both: 5 of two and 2 of it, counted by hand."""


def test_the_best_finish_is_proven_when_a_project_is_small() -> None:
    answer = classic.solve(TWO_AT_ONCE, seconds=20)
    assert (answer.finish, answer.bound, answer.is_optimal) == (7, 7, True)


def test_one_worker_is_enough_when_there_is_no_more() -> None:
    answer = classic.solve(TWO_AT_ONCE, seconds=20, workers=1)
    assert answer.is_optimal


def test_there_is_no_answer_when_an_activity_takes_more_than_there_is() -> None:
    assert classic.solve(replace(TWO_AT_ONCE, capacities=(1,)), seconds=1) is None


def test_nothing_is_left_to_do_when_a_project_is_empty() -> None:
    answer = classic.solve(classic.Project((), (), (), (2,)), seconds=1)
    assert (answer.finish, answer.starts) == (0, ())


@settings(max_examples=4, deadline=None, derandomize=True)
@given(projects())
def test_the_same_schedule_comes_out_when_work_is_counted_instead_of_time(project: classic.Project) -> None:
    one, other = (classic.solve(project, seconds=0.2, is_deterministic=True) for _ in range(2))
    assert one == other


def test_only_classic_networks_are_taken_for_such_when_both_kinds_are_seen() -> None:
    assert classic.is_classic(classic.network(TWO_AT_ONCE))
    assert not classic.is_classic(build(portfolio(1, jobs=1, people=2)).network)

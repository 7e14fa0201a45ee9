from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.core.planning import fast, justify, priorities
from jobs.core.planning.generation import DoesNotFitError, Order, generate
from jobs.core.planning.network import Network, score
from jobs.core.planning.shapes import Shapes
from tests.core.planning.networks import is_kept, project

FOUR = project([3, 2, 2, 3], [(1,), (1,), (1,), (2,)], (2,), [(0, 3)])


@st.composite
def projects(draw: st.DrawFn) -> Network:
    count = draw(st.integers(1, 9))
    lengths = draw(st.lists(st.integers(0, 4), min_size=count, max_size=count))
    demands = draw(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 2)), min_size=count, max_size=count))
    pairs = draw(st.lists(st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)), max_size=8))
    return project(lengths, demands, (3, 2), sorted({(a, b) for a, b in pairs if a < b}))


def test_the_order_decides_who_goes_first_when_there_is_not_enough() -> None:
    late = generate(FOUR, Shapes(FOUR), Order([3, 1, 2, 0], (0.0,) * 4))
    early = generate(FOUR, Shapes(FOUR), Order([0, 1, 2, 3], (0.0,) * 4))
    assert (late[0].first, early[0].first) == (2, 0)


@settings(max_examples=40, deadline=None)
@given(projects(), st.randoms(use_true_random=False))
def test_everything_is_kept_when_tasks_are_placed_in_any_order(network: Network, random: Random) -> None:
    order = Order([random.random() for _ in network.tasks], (0.0,) * len(network.tasks))
    assert is_kept(network, generate(network, Shapes(network), order))


@settings(max_examples=20, deadline=None)
@given(projects())
def test_the_fast_pass_is_no_worse_than_any_priority_when_it_ends(network: Network) -> None:
    shapes = Shapes(network)
    scores = [score(network, generate(network, shapes, order)) for order in priorities.orders(network, shapes)]
    assert fast.fast_schedule(network, shapes).score <= min(scores)


def test_a_task_is_named_when_it_never_fits() -> None:
    too_much = project([1, 1], [(1,), (3,)], (2,), [])
    with pytest.raises(DoesNotFitError) as error:
        generate(too_much, Shapes(too_much), Order([0, 1], (0.0, 0.0)))
    assert error.value.task == 1


def test_slack_shows_as_a_later_rank_when_everything_is_pushed_late() -> None:
    schedule = generate(FOUR, Shapes(FOUR), Order([0, 1, 2, 3], (0.0,) * 4))
    late = justify.late_order(FOUR, Shapes(FOUR), schedule)
    assert all(rank >= placed.first for rank, placed in zip(late, schedule, strict=True))

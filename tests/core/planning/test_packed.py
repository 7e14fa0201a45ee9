"""Packed generation keeps what the general one keeps, on random classic networks."""

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.core.planning import classic, fast
from jobs.core.planning.generation import Order, generate
from jobs.core.planning.network import Network, Schedule
from jobs.core.planning.packed import Packed
from jobs.core.planning.shapes import Shapes
from tests.core.planning.networks import is_kept

CAPACITIES = st.lists(st.integers(1, 9), min_size=1, max_size=4)


@st.composite
def projects(draw: st.DrawFn) -> classic.Project:
    count, capacities = draw(st.integers(1, 12)), tuple(draw(CAPACITIES))
    activities = range(count)
    return classic.Project(
        durations=tuple(draw(st.integers(0, 6)) for _ in activities),
        demands=tuple(tuple(draw(st.integers(0, most)) for most in capacities) for _ in activities),
        successors=tuple(tuple(after for after in range(a + 1, count) if draw(st.integers(0, 3)) == 0) for a in activities),
        capacities=capacities,
    )


def packed_schedule(network: Network, wanted: list[float]) -> Schedule:
    packed = Packed(network)
    return packed.found(packed.late_then_early(wanted)).schedule


@settings(max_examples=60, deadline=None, derandomize=True)
@given(projects(), st.data())
def test_precedence_and_capacity_are_kept_when_the_order_is_any(project: classic.Project, data: st.DataObject) -> None:
    network = classic.network(project)
    wanted = [data.draw(st.floats(-20, 20)) for _ in project.durations]
    assert is_kept(network, packed_schedule(network, wanted))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(projects())
def test_the_finish_gets_no_later_when_a_schedule_is_pushed_late_then_early(project: classic.Project) -> None:
    network = classic.network(project)
    general = generate(network, Shapes(network), Order([0.0] * len(network.tasks), [0.1] * len(network.tasks)))
    justified = packed_schedule(network, [placed.end for placed in general])
    assert max(placed.end for placed in justified) <= max(placed.end for placed in general)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(projects())
def test_the_general_generator_places_alike_when_given_the_packed_order(project: classic.Project) -> None:
    network = classic.network(project)
    packed = packed_schedule(network, list(project.durations))
    rank = [placed.first + placed.end / 1e6 for placed in packed]
    general = generate(network, Shapes(network), Order(rank, [0.1] * len(rank)))
    assert max(placed.end for placed in general) <= max(placed.end for placed in packed)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(projects())
def test_nothing_finishes_before_the_least_finish_when_scheduled(project: classic.Project) -> None:
    network = classic.network(project)
    found = fast.fast_schedule(network)
    assert Packed(network).least_finish <= found.score[-1]

"""Starts without limits on people against the longest paths of networkx on random networks."""

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.core.planning import quick_plan
from tests.core.planning.cast import after, problem, visit

LENGTHS = st.lists(st.integers(1, 4), min_size=2, max_size=10)


def longest_ends(lengths: list[int], pairs: set[tuple[int, int]]) -> dict[str, int]:
    """When each activity ends at the earliest: the longest path from an added beginning, each arc as long as its tail."""
    graph = nx.DiGraph()
    graph.add_weighted_edges_from(("begin", number, 0) for number in range(len(lengths)))
    graph.add_weighted_edges_from((before, later, lengths[before]) for before, later in pairs)
    to_start = {
        n: max(nx.path_weight(graph, path, "weight") for path in nx.all_simple_paths(graph, "begin", n))
        for n in range(len(lengths))
    }
    return {str(number): start + lengths[number] for number, start in to_start.items()}


@settings(max_examples=40, deadline=None, derandomize=True)
@given(LENGTHS, st.data())
def test_everything_ends_with_its_longest_path_when_people_are_no_limit(lengths: list[int], data: st.DataObject) -> None:
    possible = [(a, b) for b in range(len(lengths)) for a in range(b)]
    pairs = data.draw(st.sets(st.sampled_from(possible), max_size=12))
    links = tuple(after(str(a), str(b)) for a, b in sorted(pairs))
    work = problem(*(visit(str(n), length) for n, length in enumerate(lengths)), links=links, people=())
    assert {key: span.last + 1 for key, span in quick_plan(work).spans.items()} == longest_ends(lengths, pairs)

from itertools import pairwise, permutations

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.core.point_order import EXACT_POINTS, _bound, order_length, shortest_order

place = st.tuples(st.integers(0, 2000), st.integers(0, 2000))


def _table(places):
    return tuple(tuple(abs(ax - bx) + abs(ay - by) for bx, by in places) for ax, ay in places)


def _enumerated(table, is_loop):
    rest = permutations(range(1, len(table)))
    return min(order_length((0, *order), table, is_loop) for order in rest)


@settings(deadline=None, max_examples=60)
@given(st.lists(place, min_size=2, max_size=7), st.booleans())
def test_order_is_the_shortest_of_all_when_there_are_few_points(places, is_loop):
    table = _table(places)
    order = shortest_order(table, is_loop=is_loop)
    assert order.length == order.bound == _enumerated(table, is_loop)
    assert sorted(order.places) == list(range(len(places)))


@settings(deadline=None, max_examples=30)
@given(st.lists(place, min_size=3, max_size=7), st.booleans())
def test_bound_is_never_above_the_shortest_when_all_orders_are_known(places, is_loop):
    table = _table(places)
    assert _bound(table, is_loop) <= _enumerated(table, is_loop)


@settings(deadline=None, max_examples=10)
@given(st.lists(place, min_size=EXACT_POINTS + 2, max_size=16), st.booleans())
def test_order_lies_above_its_bound_when_there_are_many_points(places, is_loop):
    table = _table(places)
    order = shortest_order(table, is_loop=is_loop)
    assert order.bound <= order.length == order_length(order.places, table, is_loop)
    assert sorted(order.places) == list(range(len(places)))


@pytest.mark.parametrize("seed", range(5))
def test_loop_is_no_longer_than_the_reference_librarys_when_there_are_many_points(seed):
    """networkx: Christofides' tour, at most half as long again as the shortest."""
    places = [((seed * 7919 + n * 104729) % 1500, (seed * 6151 + n * 49157) % 900) for n in range(20)]
    table = _table(places)
    graph = networkx.Graph()
    graph.add_weighted_edges_from((a, b, table[a][b]) for a in range(20) for b in range(a))
    tour = networkx.approximation.christofides(graph, weight="weight")
    reference = sum(table[a][b] for a, b in pairwise(tour))
    assert shortest_order(table, is_loop=True).length <= reference


def test_chains_bound_is_the_reference_librarys_tree_when_there_are_many_points():
    places = [((n * 104729) % 1500, (n * 49157) % 900) for n in range(15)]
    table = _table(places)
    graph = networkx.Graph()
    graph.add_weighted_edges_from((a, b, table[a][b]) for a in range(15) for b in range(a))
    tree = networkx.minimum_spanning_tree(graph).size(weight="weight")
    assert shortest_order(table, is_loop=False).bound == tree


def test_board_alone_has_no_length_when_there_are_no_points():
    assert shortest_order(((0,),), is_loop=True).length == 0

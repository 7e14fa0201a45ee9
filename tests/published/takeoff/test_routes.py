"""Routes over small plans against every order there is, and against networkx.

The sum of a way is written here anew: along + across, 0.30 m for a corner (common practice, no source). The shortest of all
orders is found by trying each. networkx: minimum spanning tree below, Christofides' tour above.
"""

from decimal import Decimal as D
from itertools import pairwise, permutations

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.core.cable import loop_cable_metres
from jobs.core.cable_runs import Stop, find_route
from jobs.core.stages import CircuitKind

SLACK = D("0.30")
PLACES = st.tuples(*[st.integers(0, 80).map(lambda number: D(number) / 10)] * 2)
PLANS = st.lists(PLACES, min_size=1, max_size=5, unique=True)
KINDS = st.sampled_from([CircuitKind.RING, CircuitKind.RADIAL, CircuitKind.LIGHTING])


def _stops(places):
    return [Stop(x, y, D(0), D("0.45")) for x, y in places]


def _way(a, b):
    along, across = abs(a[0] - b[0]), abs(a[1] - b[1])
    return along + across + (SLACK if along and across else 0)


def _route(kind, places, board=(D(0), D(0))):
    return find_route(kind, Stop(*board, D(0)), _stops(places), slack_metres=SLACK)


def _total(kind, places, board=(D(0), D(0))):
    return loop_cable_metres(_route(kind, places, board).run, slack_metres=SLACK, board_end_metres=D(1))


@settings(max_examples=20, deadline=None)
@given(PLANS, KINDS)
def test_route_is_the_shortest_of_all_orders_when_the_plan_is_small(places, kind):
    home = [(D(0), D(0))]
    back = home if kind == CircuitKind.RING else []
    orders = ([*home, *order, *back] for order in permutations(places))
    shortest = min(sum((_way(a, b) for a, b in pairwise(order)), D(0)) for order in orders)
    assert _route(kind, places).run.floor_metres == shortest


@settings(max_examples=20, deadline=None)
@given(st.lists(PLACES.filter(lambda place: place != (0, 0)), min_size=2, max_size=7, unique=True))
def test_ring_lies_between_the_reference_librarys_tree_and_tour_when_routed(places):
    graph = networkx.Graph()
    nodes = [(D(0), D(0)), *places]
    graph.add_weighted_edges_from(
        (a, b, float(_way(nodes[a], nodes[b]))) for a in range(len(nodes)) for b in range(a)
    )
    tree = networkx.minimum_spanning_tree(graph).size(weight="weight")
    tour = networkx.approximation.christofides(graph, weight="weight")
    length = float(_route(CircuitKind.RING, places).run.floor_metres)
    assert tree - 1e-6 <= length
    assert length <= sum(graph[a][b]["weight"] for a, b in pairwise(tour)) + 1e-6


@settings(max_examples=20, deadline=None)
@given(PLANS, KINDS, st.integers(1, 60))
def test_cable_gets_no_shorter_when_the_board_moves_straight_away(places, kind, decimetres):
    further = (-D(decimetres) / 10, D(0))
    assert _total(kind, places, further) >= _total(kind, places)


@settings(max_examples=20, deadline=None)
@given(PLANS, KINDS, PLACES)
def test_cable_gets_no_shorter_when_a_point_is_added(places, kind, more):
    """The way alone may save a corner; the new point's ends take more than that."""
    assert _total(kind, [*places, more]) >= _total(kind, places)


@settings(max_examples=20, deadline=None)
@given(PLANS, PLACES)
def test_bonding_adds_up_when_pipes_are_taken_one_by_one(places, board):
    alone = sum(_route(CircuitKind.BONDING, [place], board).run.floor_metres for place in places)
    assert _route(CircuitKind.BONDING, places, board).run.floor_metres == alone

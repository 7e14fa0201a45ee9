"""The order in which a cable visits its points: shortest for few, short for many, with a bound on what is possible.

Place 0 is the board. A loop comes back to it; a chain starts at it and ends at any point. Distances are whole numbers
(centimetres), the same both ways.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

EXACT_POINTS = 10
"""Up to so many points besides the board the order is proven shortest (Held and Karp 1962); it takes n² 2ⁿ steps."""
ASCENT_STEPS = 60

Distances = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Order:
    """`places` start with the board (0). `bound`: no order is shorter than this."""

    places: tuple[int, ...]
    length: int
    bound: int

    @property
    def is_exact(self) -> bool:
        """Whether it is proven that no order is shorter."""
        return self.length == self.bound


@lru_cache(maxsize=1024)
def shortest_order(distances: Distances, *, is_loop: bool) -> Order:
    """The shortest order found for the places of `distances`, a square table of which row 0 is the board."""
    count = len(distances)
    if count <= 2:
        places = tuple(range(count))
    elif count <= EXACT_POINTS + 1:
        places = _exact(distances, is_loop)
    else:
        places = _improved(_nearest(distances), distances, is_loop)
    length = order_length(places, distances, is_loop)
    return Order(places, length, length if count <= EXACT_POINTS + 1 else min(length, _bound(distances, is_loop)))


def order_length(places: Sequence[int], distances: Distances, is_loop: bool) -> int:
    """The length of an order of places, the way back to the board included for a loop."""
    length = sum(distances[a][b] for a, b in pairwise(places))
    return length + distances[places[-1]][places[0]] if is_loop else length


def _exact(distances: Distances, is_loop: bool) -> tuple[int, ...]:
    """Held and Karp: the best way through each set of points, by the point it ends at."""
    points = range(1, len(distances))
    best = {(1 << point, point): (distances[0][point], 0) for point in points}
    for visited in range(2, 1 << len(distances), 2):
        for last in points:
            before = visited & ~(1 << last)
            if visited >> last & 1 and before:
                ways = ((best[before, point][0] + distances[point][last], point) for point in points if before >> point & 1)
                best[visited, last] = min(ways)
    everything = sum(1 << point for point in points)
    last = min(points, key=lambda point: best[everything, point][0] + (distances[point][0] if is_loop else 0))
    return _trace(best, everything, last)


def _trace(best: dict[tuple[int, int], tuple[int, int]], visited: int, last: int) -> tuple[int, ...]:
    places = []
    while last:
        places.append(last)
        visited, last = visited & ~(1 << last), best[visited, last][1]
    return (0, *reversed(places))


def _nearest(distances: Distances) -> list[int]:
    places, left = [0], set(range(1, len(distances)))
    while left:
        nearest = min(left, key=lambda place: (distances[places[-1]][place], place))
        places.append(nearest)
        left.remove(nearest)
    return places


def _improved(places: list[int], distances: Distances, is_loop: bool) -> tuple[int, ...]:
    """Turn stretches round and move points elsewhere while that makes the order shorter (2-opt and or-opt)."""
    while better := _turned(places, distances, is_loop) or _moved(places, distances, is_loop):
        places = better
    return tuple(places)


def _turned(places: list[int], distances: Distances, is_loop: bool) -> list[int] | None:
    """The order with the first stretch turned round that saves length."""
    gap = _gap(distances, is_loop)
    for start in range(1, len(places) - 1):
        before, first = places[start - 1], places[start]
        for end in range(start + 1, len(places)):
            last, after = places[end], _after(places, end)
            if gap(before, last) + gap(first, after) < gap(before, first) + gap(last, after):
                return places[:start] + places[start:end + 1][::-1] + places[end + 1:]
    return None


def _moved(places: list[int], distances: Distances, is_loop: bool) -> list[int] | None:
    """The order with the first point put elsewhere that saves length."""
    gap = _gap(distances, is_loop)
    for taken in range(1, len(places)):
        place, before, after = places[taken], places[taken - 1], _after(places, taken)
        saved = gap(before, place) + gap(place, after) - gap(before, after)
        rest = places[:taken] + places[taken + 1:]
        for to in range(len(rest)):
            left, right = rest[to], _after(rest, to)
            if gap(left, place) + gap(place, right) - gap(left, right) < saved:
                return rest[:to + 1] + [place] + rest[to + 1:]
    return None


def _after(places: list[int], index: int) -> int | None:
    """The place after one in the order; None after the last."""
    return places[index + 1] if index + 1 < len(places) else None


def _gap(distances: Distances, is_loop: bool) -> Callable[[int, int | None], int]:
    """Distance to the next place; past the last lies the board for a loop, nothing for a chain."""
    def gap(a: int, b: int | None) -> int:
        if b is None:
            return distances[a][0] if is_loop else 0
        return distances[a][b]

    return gap


def _bound(distances: Distances, is_loop: bool) -> int:
    """What no order can be shorter than: a chain holds a spanning tree, a loop a tree and an edge more."""
    if not is_loop:
        return int(sum(_tree(range(len(distances)), distances, [0.0] * len(distances))[1]))
    return _loop_bound(distances)


def _loop_bound(distances: Distances) -> int:
    """The 1-tree bound, raised by weighing places that have too many or too few ways (Held and Karp 1970)."""
    count = len(distances)
    weights, best = [0.0] * count, 0.0
    step = max(map(max, distances)) / 4
    for _ in range(ASCENT_STEPS):
        degrees, length = _one_tree(distances, weights)
        best = max(best, length - 2 * sum(weights))
        if all(degree == 2 for degree in degrees):
            break
        weights = [weight + step * (degree - 2) for weight, degree in zip(weights, degrees, strict=True)]
        step *= 0.93
    return int(best + 1 - 1e-6)


def _one_tree(distances: Distances, weights: list[float]) -> tuple[list[int], float]:
    """Ways at each place, and length, of the lightest tree over the points with two ways to the board."""
    points = range(1, len(distances))
    degrees, costs = _tree(points, distances, weights)
    ways = sorted((distances[0][point] + weights[0] + weights[point], point) for point in points)[:2]
    for _, point in ways:
        degrees[point] += 1
    degrees[0] = 2
    return degrees, sum(costs) + sum(cost for cost, _ in ways)


def _tree(places: Sequence[int], distances: Distances, weights: list[float]) -> tuple[list[int], list[float]]:
    """Prim's lightest spanning tree of `places`: ways at each place of the table, and the cost of each way."""
    degrees, costs = [0] * len(distances), []
    first = places[0]
    reach = {place: (distances[first][place] + weights[first] + weights[place], first) for place in places if place != first}
    while reach:
        place = min(reach, key=lambda other: (reach[other][0], other))
        cost, joined = reach.pop(place)
        costs.append(cost)
        degrees[place] += 1
        degrees[joined] += 1
        for other in reach:
            reach[other] = min(reach[other], (distances[place][other] + weights[place] + weights[other], place))
    return degrees, costs

"""Routes of cable through a house whose rooms lie on their floors' grids.

Cable runs in the void under a timber floor, or above the ceiling where the floor is solid and for lights and alarms;
there it runs along the joists, free, and across them, drilled, never slantwise. A ceiling and the floor over it share a
void; a loft's cables lie on its floor. From storey to storey it rises at the board. Heights that nobody measured, the
storey's height and the slack at corners are common practice, no source.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise

from jobs.core.cable import CableRun
from jobs.core.cable_ways import Box, Place, Way, lay_way
from jobs.core.point_order import Order, shortest_order
from jobs.core.stages import CircuitKind, FloorKind

BOARD_HEIGHT_METRES = Decimal("1.50")
WALL_LIGHT_HEIGHT_METRES = Decimal("1.80")
SWITCH_HEIGHT_METRES = Decimal("1.20")
"""The highest that Approved Document M lets a switch of a new dwelling be (from memory)."""
SAME_VOID_METRES = Decimal("0.60")
"""Heights no further apart lie in one void: a ceiling and the floor over it, or ceilings of uneven height."""
OVERHEAD = frozenset({CircuitKind.LIGHTING, CircuitKind.ALARMS})
"""Circuits that run above the ceiling whatever the floor."""


@dataclass(frozen=True)
class Stop:
    """Where a circuit's cable meets a point: its place in a void `at` a height, and the drop from there."""

    x: Decimal
    y: Decimal
    at: Decimal
    drop_metres: Decimal = Decimal(0)
    level: int = 0

    @property
    def place(self) -> Place:
        """Where it is on its floor's grid, in metres: (x, y)."""
        return self.x, self.y


@dataclass(frozen=True)
class Route:
    """A circuit's way: the order of its stops, its run with slack counted, and how much shorter it could be at best.

    `places` are the board and the stops as they were given; `ways` how the cable lies from place to place.
    """

    order: Order
    run: CableRun
    places: tuple[Stop, ...] = ()
    ways: tuple[Way, ...] = ()

    @property
    def across_metres(self) -> Decimal:
        """Through drilled joists, as far as their direction is known."""
        return sum((way.across_metres for way in self.ways), Decimal(0))

    @property
    def crossings(self) -> int | None:
        """Joists drilled; None when the way of some is not known."""
        if any(way.unknown_metres for way in self.ways):
            return None
        return sum(way.crossings for way in self.ways)

    @property
    def stops(self) -> tuple[int, ...]:
        """The stops in the order they are reached, by their place in the list given."""
        return tuple(place - 1 for place in self.order.places[1:])


def wall_place(box: Box, number: int, count: int) -> tuple[Decimal, Decimal]:
    """Where point `number` (from 0) of `count` on a room's walls is taken to be: evenly spaced round the room."""
    along = 2 * (box.length + box.width) * (2 * number + 1) / (2 * count)
    far_x, far_y = box.x + box.length, box.y + box.width
    if along <= box.length:
        return box.x + along, box.y
    if along <= box.length + box.width:
        return far_x, box.y + along - box.length
    if along <= 2 * box.length + box.width:
        return far_x - (along - box.length - box.width), far_y
    return box.x, far_y - (along - 2 * box.length - box.width)


def ceiling_place(box: Box, number: int, count: int) -> tuple[Decimal, Decimal]:
    """Where point `number` of `count` on a ceiling is taken to be: in a line along the middle of the room's long side."""
    share = Decimal(2 * number + 1) / (2 * count)
    if box.length >= box.width:
        return box.x + box.length * share, box.y + box.width / 2
    return box.x + box.length / 2, box.y + box.width * share


def stop_at(
    box: Box,
    place: tuple[Decimal, Decimal],
    *,
    kind: CircuitKind,
    floor: FloorKind,
    is_ceiling: bool,
    height_metres: Decimal,
    is_loft: bool = False,
) -> Stop:
    """The stop of a point `height_metres` above the floor (on a ceiling: at it)."""
    if is_loft:
        return Stop(*place, box.floor_at, box.height if is_ceiling else height_metres, box.level)
    is_overhead = is_ceiling or kind in OVERHEAD or floor == FloorKind.SOLID
    if not is_overhead:
        return Stop(*place, box.floor_at, height_metres, box.level)
    drop = Decimal(0) if is_ceiling else max(box.height - height_metres, Decimal(0))
    return Stop(*place, box.ceiling_at, drop, box.level)


def board_stop(box: Box) -> Stop:
    """The board on the first wall of its room."""
    return Stop(*wall_place(box, 0, 1), box.floor_at + BOARD_HEIGHT_METRES, level=box.level)


def find_route(
    kind: CircuitKind, board: Stop, stops: Sequence[Stop], *, slack_metres: Decimal, boxes: Sequence[Box] = ()
) -> Route:
    """The route of a circuit through its stops, at least one, with the shortest order found.

    A ring comes back to the board; bonding runs straight to every stop; any other circuit ends at its last stop. `boxes`
    are the house's rooms, whose joists say how the cable lies; they do not change its length.
    """
    return _find_route(kind, board, tuple(stops), slack_metres, tuple(boxes))


@lru_cache(maxsize=1024)  # every page that shows what a house takes routes it anew, and seldom has a house changed
def _find_route(
    kind: CircuitKind, board: Stop, stops: tuple[Stop, ...], slack_metres: Decimal, boxes: tuple[Box, ...]
) -> Route:
    if kind == CircuitKind.BONDING:
        return _star(board, stops, slack_metres, boxes)
    places, is_loop = (board, *stops), kind == CircuitKind.RING
    table = tuple(tuple(_centimetres(a, b, board, slack_metres) for b in places) for a in places)
    order = shortest_order(table, is_loop=is_loop)
    drops = _drops(order, stops, is_loop)
    board_ends = 2 if is_loop else 1
    run = CableRun(
        Decimal(order.length) / 100, 1, sum(drops, Decimal(0)), len(drops), board_ends, Decimal(0), board_ends
    )
    round_trip = (*order.places, 0) if is_loop else order.places
    return Route(order, run, places, _ways([(places[a], places[b]) for a, b in pairwise(round_trip)], board, boxes))


def metres_between(a: Stop, b: Stop, riser: Stop, slack_metres: Decimal) -> Decimal:
    """Cable from stop to stop without their drops, with slack at its corners."""
    return Decimal(_centimetres(a, b, riser, slack_metres)) / 100


def _ways(legs: Iterable[tuple[Stop, Stop]], riser: Stop, boxes: Sequence[Box]) -> tuple[Way, ...]:
    parts = (part for a, b in legs for part in _parts(a, b, riser))
    return tuple(lay_way(a.place, b.place, level, boxes) for a, b, level in parts if a.place != b.place)


def _parts(a: Stop, b: Stop, riser: Stop) -> list[tuple[Stop, Stop, int]]:
    """The level parts of a leg: one, or two that meet at the riser."""
    if _share_void(a, b):
        return [(a, b, a.level)]
    return [(a, riser, a.level), (riser, b, b.level)]


def _share_void(a: Stop, b: Stop) -> bool:
    return abs(a.at - b.at) <= SAME_VOID_METRES


def _star(board: Stop, stops: Sequence[Stop], slack_metres: Decimal, boxes: Sequence[Box]) -> Route:
    length = sum(_centimetres(board, stop, board, slack_metres) for stop in stops)
    drops = sum((stop.drop_metres for stop in stops), Decimal(0))
    order = Order(tuple(range(len(stops) + 1)), length, length)
    count = len(stops)
    run = CableRun(Decimal(length) / 100, 1, drops, count, count, Decimal(0), count)
    return Route(order, run, (board, *stops), _ways([(board, stop) for stop in stops], board, boxes))


def _drops(order: Order, stops: Sequence[Stop], is_loop: bool) -> list[Decimal]:
    """One-way drops: two at every stop, but one at the end of a chain."""
    twice = [stops[place - 1].drop_metres for place in order.places[1:] for _ in range(2)]
    return twice if is_loop else twice[:-1]


def _centimetres(a: Stop, b: Stop, riser: Stop, slack_metres: Decimal) -> int:
    """Cable from stop to stop with slack at its corners; between heights it goes by the riser at the board."""
    if _share_void(a, b):
        return round(100 * (_flat(a, b, slack_metres) + abs(a.at - b.at)))
    return round(100 * (_flat(a, riser, slack_metres) + abs(a.at - b.at) + _flat(riser, b, slack_metres)))


def _flat(a: Stop, b: Stop, slack_metres: Decimal) -> Decimal:
    along, across = abs(a.x - b.x), abs(a.y - b.y)
    return along + across + (slack_metres if along and across else 0)

"""How cable lies in a void: along the joists it runs free, across them through holes in each.

Which of two equally long ways it takes, along first or across first, is chosen by the fewest joists drilled. What may be
drilled is another matter: `jobs.core.electrics.joists`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise

from jobs.core.stages import JoistRun

STOREY_METRES = Decimal("2.70")
JOIST_CENTRES_METRES = Decimal("0.40")
"""From joist to joist (common practice, no source)."""

Place = tuple[Decimal, Decimal]


@dataclass(frozen=True)
class Box:
    """A room on its floor's grid, in metres: its corner, its size along x and y, its height, its storey (0 = ground).

    `joists`: which way those of its floor and ceiling run; None where not known.
    """

    x: Decimal
    y: Decimal
    length: Decimal
    width: Decimal
    height: Decimal = Decimal("2.40")
    level: int = 0
    joists: JoistRun | None = None

    @property
    def floor_at(self) -> Decimal:
        """Metres from the ground floor up to this room's floor."""
        return self.level * STOREY_METRES

    @property
    def ceiling_at(self) -> Decimal:
        """Metres from the ground floor up to this room's ceiling."""
        return self.floor_at + self.height

    def holds(self, place: Place) -> bool:
        """Whether a place of the grid lies in the room, its walls included; the storey is not looked at."""
        x, y = place
        return self.x <= x <= self.x + self.length and self.y <= y <= self.y + self.width


@dataclass(frozen=True)
class Way:
    """From a place over a corner to another on a level, and how many metres of it lie which way to the joists."""

    level: int
    corners: tuple[Place, ...]
    along_metres: Decimal
    across_metres: Decimal
    unknown_metres: Decimal

    @property
    def crossings(self) -> int:
        """Joists drilled, by their usual distance."""
        return int((self.across_metres / JOIST_CENTRES_METRES).quantize(Decimal(1), ROUND_HALF_UP))


def lay_way(start: Place, end: Place, level: int, boxes: Sequence[Box]) -> Way:
    """The way that drills the fewest joists; where no room is, those of the level's first room with known joists run on."""
    of_level = [box for box in boxes if box.level == level]
    ways = [
        _way((start, corner, end), level, of_level)
        for corner in ((end[0], start[1]), (start[0], end[1]))
    ]
    return min(ways, key=lambda way: (way.across_metres, way.unknown_metres))


def _way(corners: tuple[Place, ...], level: int, boxes: Sequence[Box]) -> Way:
    metres = {"along": Decimal(0), "across": Decimal(0), "unknown": Decimal(0)}
    for a, b in pairwise(corners):
        for start, end in pairwise(_cuts(a, b, boxes)):
            length = abs(end[0] - start[0]) + abs(end[1] - start[1])
            metres[_lies(start, end, boxes)] += length
    turns = tuple(dict.fromkeys(corners))
    return Way(level, turns, metres["along"], metres["across"], metres["unknown"])


def _cuts(a: Place, b: Place, boxes: Iterable[Box]) -> list[Place]:
    """The places where a straight stretch passes from room to room, its ends among them."""
    if a[1] == b[1]:
        edges = {edge for box in boxes for edge in (box.x, box.x + box.length)}
        return [(x, a[1]) for x in _within(edges, a[0], b[0])]
    edges = {edge for box in boxes for edge in (box.y, box.y + box.width)}
    return [(a[0], y) for y in _within(edges, a[1], b[1])]


def _within(edges: set[Decimal], a: Decimal, b: Decimal) -> list[Decimal]:
    low, high = min(a, b), max(a, b)
    return sorted({low, high} | {edge for edge in edges if low < edge < high})


def _lies(start: Place, end: Place, boxes: Sequence[Box]) -> str:
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    inside = next((box for box in boxes if box.holds(middle)), None)
    joists = inside.joists if inside else next((box.joists for box in boxes if box.joists), None)
    if joists is None:
        return "unknown"
    runs = JoistRun.ALONG_X if start[1] == end[1] else JoistRun.ALONG_Y
    return "along" if runs == joists else "across"

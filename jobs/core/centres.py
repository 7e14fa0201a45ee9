"""Where something sits in a ceiling or on a wall: its centre from two named walls, and the room's sketch.

A room is drawn as a rectangle, length across and width down. Wall A runs along the top of the sketch, B down its
right, C along its bottom, D down its left: clockwise, as seen from above.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from jobs.core.stages import Worded


class Wall(Worded):
    """The walls of a room's sketch, clockwise from its top."""

    A = "A", "wall A"
    B = "B", "wall B"
    C = "C", "wall C"
    D = "D", "wall D"


LENGTH_WALLS = (Wall.A, Wall.C)
"""Walls along the room's length; distances from them run across its width."""
WIDTH_WALLS = (Wall.B, Wall.D)
SURFACES = {wall.value: wall.label for wall in Wall} | {"ceiling": "ceiling", "floor": "floor"}
LONGEST_MM = 30_000
"""No room of a house is longer than this; a slipped digit is."""


@dataclass(frozen=True)
class Centre:
    """A centre in whole millimetres from a wall along the length and from a wall along the width."""

    wall_1: Wall
    from_1_mm: int
    wall_2: Wall
    from_2_mm: int

    @property
    def words(self) -> str:
        """Such as: 400 mm from wall A, 1200 mm from wall B."""
        return f"{self.from_1_mm} mm from {self.wall_1.label}, {self.from_2_mm} mm from {self.wall_2.label}"

    def place(self, length_mm: int, width_mm: int) -> tuple[int, int]:
        """Millimetres from the sketch's left and from its top."""
        down = self.from_1_mm if self.wall_1 == Wall.A else width_mm - self.from_1_mm
        across = self.from_2_mm if self.wall_2 == Wall.D else length_mm - self.from_2_mm
        return across, down


@dataclass(frozen=True)
class Said:
    """A centre as somebody measured it. `op_id` breaks a tie of time, so that all phones settle alike."""

    op_id: str
    at: datetime
    by: str
    centre: Centre


def settle(said: Iterable[Said]) -> Said | None:
    """What stands: the last by corrected time, whatever the order of arrival."""
    return max(said, key=lambda one: (one.at, one.op_id), default=None)


@dataclass(frozen=True)
class Spot:
    """A numbered centre on the sketch, in millimetres from its left and top; `fits` while it lies inside the room."""

    number: int
    x: int
    y: int
    fits: bool


@dataclass(frozen=True)
class Sketch:
    """A room's rectangle with its centres, in millimetres; `edge` is the space around it for the walls' names."""

    length_mm: int
    width_mm: int
    spots: tuple[Spot, ...]

    @property
    def edge(self) -> int:
        """Millimetres left free on each side of the room."""
        return max(self.length_mm, self.width_mm) // 10

    @property
    def view_box(self) -> str:
        """The SVG's viewBox: the room with the edge around it, in millimetres."""
        return f"{-self.edge} {-self.edge} {self.length_mm + 2 * self.edge} {self.width_mm + 2 * self.edge}"

    @property
    def walls(self) -> list[tuple[str, int, int]]:
        """Each wall's letter and where it is written."""
        middle, centre, half = self.length_mm // 2, self.width_mm // 2, self.edge // 2
        return [
            ("A", middle, -half), ("B", self.length_mm + half, centre), ("C", middle, self.width_mm + half), ("D", -half, centre)
        ]

    @property
    def dot(self) -> int:
        """Millimetres: radius of the dot that marks a centre, and width of the room's outline."""
        return self.edge // 4


def draw_sketch(length_mm: int, width_mm: int, centres: Iterable[tuple[int, Centre]]) -> Sketch:
    """The sketch of a room with its numbered centres."""
    return Sketch(length_mm, width_mm, tuple(_spot(number, centre, length_mm, width_mm) for number, centre in centres))


def _spot(number: int, centre: Centre, length_mm: int, width_mm: int) -> Spot:
    x, y = centre.place(length_mm, width_mm)
    return Spot(number, x, y, 0 <= x <= length_mm and 0 <= y <= width_mm)

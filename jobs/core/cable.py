"""Cable a circuit takes and the clips that hold it.

A length is floor run + drops + slack at every end + legs and tails at the board, and then the waste. Until a circuit's
route is known its floor run comes from the firm's averages. All lengths are in metres.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from jobs.core.stages import CircuitKind

CENTIMETRE = Decimal("0.01")


@dataclass(frozen=True)
class ClipSpacing:
    """Furthest apart that clips may sit on a flat cable up to `widest_mm` wide."""

    widest_mm: Decimal
    across_metres: Decimal
    down_metres: Decimal


CLIP_SPACINGS = tuple(
    ClipSpacing(Decimal(widest), Decimal(across), Decimal(down))
    for widest, across, down in (
        ("9", "0.25", "0.40"), ("15", "0.30", "0.40"), ("20", "0.35", "0.45"), ("40", "0.40", "0.55")
    )
)
"""Whitfield, The Electrician's Guide to the 16th Edition, Table 4.10: across and down a wall."""

FLAT_CABLE_WIDTHS_MM = {
    Decimal("1.0"): Decimal("7.8"), Decimal("1.5"): Decimal("8.2"), Decimal("2.5"): Decimal("10.3"),
    Decimal("4.0"): Decimal("11.9"), Decimal("6.0"): Decimal("13.5"), Decimal("10.0"): Decimal("17.1"),
    Decimal("16.0"): Decimal("19.4"),
}
"""Usual width of flat twin and earth by live conductor in mm²; makers vary (common practice, no source)."""


@dataclass(frozen=True)
class CableRun:
    """The parts of one circuit's cable.

    `drops` and `board_legs` count one-way lengths: a point on a loop has two drops, a ring two legs at the board.
    `slack_ends` are cable ends at points, `board_ends` those at the board.
    """

    floor_metres: Decimal
    drops: int
    drop_metres: Decimal
    slack_ends: int
    board_legs: int
    board_leg_metres: Decimal
    board_ends: int

    @property
    def vertical_metres(self) -> Decimal:
        """Metres of the drops to points and of the legs down to the board."""
        return self.drops * self.drop_metres + self.board_legs * self.board_leg_metres


@dataclass(frozen=True)
class Averages:
    """The firm's usual runs for a kind of circuit: to the first point, from point to point, one drop, one board leg."""

    board_run_metres: Decimal
    between_metres: Decimal
    drop_metres: Decimal
    board_leg_metres: Decimal


@dataclass(frozen=True)
class PointEnds:
    """A point as its circuit's cable sees it: ends at it (2 on a loop, 1 at an end), and its own usual run, if any."""

    cable_ends: int
    run_metres: Decimal | None = None


def loop_cable_metres(
    run: CableRun, *, slack_metres: Decimal, board_end_metres: Decimal, waste_percent: Decimal = Decimal(0)
) -> Decimal:
    """Cable for a circuit, waste included, to the centimetre."""
    ends = run.slack_ends * slack_metres + run.board_ends * board_end_metres
    net = run.floor_metres + run.vertical_metres + ends
    return (net * (1 + waste_percent / 100)).quantize(CENTIMETRE, ROUND_HALF_UP)


def order_metres(metres: Decimal) -> int:
    """What to order: a whole number of metres, rounded up."""
    return ceil(metres)


def average_run(kind: CircuitKind, points: Iterable[PointEnds], averages: Averages) -> CableRun:
    """The run of a circuit whose route is not known, from the firm's averages.

    A ring goes out and comes back; a one-ended point on it is a spur from its neighbour. Bonding runs straight from
    the board to every point. Any other circuit goes from point to point and ends at the last.
    """
    wired = [point for point in points if point.cable_ends > 0]
    if kind == CircuitKind.RING:
        return _ring(wired, averages)
    if kind == CircuitKind.BONDING:
        return _star(wired, averages)
    return _chain(wired, averages)


def _ring(points: list[PointEnds], averages: Averages) -> CableRun:
    on_loop = [point for point in points if point.cable_ends > 1]
    if not on_loop:
        return _chain(points, averages)
    spurs = [point for point in points if point.cable_ends == 1]
    floor = 2 * averages.board_run_metres + _between(on_loop[1:], averages) + _between(spurs, averages)
    ends = 2 * len(on_loop) + 2 * len(spurs)
    return CableRun(floor, ends, averages.drop_metres, ends, 2, averages.board_leg_metres, 2)


def _star(points: list[PointEnds], averages: Averages) -> CableRun:
    count = len(points)
    return CableRun(
        count * averages.board_run_metres, count, averages.drop_metres, count, count, averages.board_leg_metres, count
    )


def _chain(points: list[PointEnds], averages: Averages) -> CableRun:
    if not points:
        return CableRun(Decimal(0), 0, averages.drop_metres, 0, 0, averages.board_leg_metres, 0)
    floor = averages.board_run_metres + _between(points[1:], averages)
    ends = 2 * len(points) - 1
    return CableRun(floor, ends, averages.drop_metres, ends, 1, averages.board_leg_metres, 1)


def _between(points: Iterable[PointEnds], averages: Averages) -> Decimal:
    runs = (averages.between_metres if point.run_metres is None else point.run_metres for point in points)
    return sum(runs, Decimal(0))


def clip_count(*, across_metres: Decimal, down_metres: Decimal, width_mm: Decimal) -> int:
    """Clips for a flat cable `width_mm` wide: so many across a joist or wall, so many down. ValueError above 40 mm."""
    spacing = next((row for row in CLIP_SPACINGS if width_mm <= row.widest_mm), None)
    if spacing is None:
        raise ValueError(f"A cable {width_mm} mm wide has no clip spacing; the widest listed is 40 mm.")
    return ceil(across_metres / spacing.across_metres) + ceil(down_metres / spacing.down_metres)


def flat_cable_width_mm(live_mm2: Decimal | None) -> Decimal:
    """Usual width of a flat cable by its live conductor; an unlisted size counts as the next larger listed one."""
    sizes = [width for size, width in FLAT_CABLE_WIDTHS_MM.items() if live_mm2 is None or size >= live_mm2]
    return sizes[0] if sizes else FLAT_CABLE_WIDTHS_MM[Decimal("16.0")]

"""The line of a balance in time, as coordinates for a drawing."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

WIDTH, HEIGHT = 640, 200
LEFT, RIGHT, TOP, BOTTOM = 56, 12, 16, 28


@dataclass(frozen=True)
class Tick:
    """A mark on an axis: where, and its words."""

    at: float
    words: str


@dataclass(frozen=True)
class Curve:
    """A stepped line in a box of `WIDTH` × `HEIGHT`. `dots` mark the days: across, up, whether stock is owed."""

    points: str
    zero: float
    minimum: float | None
    days: tuple[Tick, ...]
    levels: tuple[Tick, ...]
    dots: tuple[tuple[float, float, bool], ...]
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    bottom: int = HEIGHT - BOTTOM

    @property
    def across(self) -> int:
        """The width of the box between its axes."""
        return self.right - self.left

    @property
    def below(self) -> float:
        """How much of the box lies under nought."""
        return self.bottom - self.zero


def draw(start_on: date, opening: Decimal, steps: Sequence[tuple[date, Decimal]], keep_at_least: Decimal) -> Curve:
    """The balance from `opening` on `start_on`; each step is a day and the balance at its end."""
    values = [opening, *(balance for _, balance in steps), Decimal(0), keep_at_least]
    across = _scale(0, max((steps[-1][0] - start_on).days if steps else 0, 1), LEFT, WIDTH - RIGHT)
    up = _scale(float(min(values)), float(max(values)) or 1.0, HEIGHT - BOTTOM, TOP)
    dots = tuple((across((on - start_on).days), up(float(balance)), balance < 0) for on, balance in steps)
    return Curve(
        points=" ".join(f"{x:.1f},{y:.1f}" for x, y in _stepped(up(float(opening)), dots)),
        zero=up(0),
        minimum=up(float(keep_at_least)) if keep_at_least else None,
        days=tuple(_day_ticks(start_on, [on for on, _ in steps], across)),
        levels=tuple(Tick(up(float(level)), f"{level.normalize():f}") for level in {min(values), max(values), Decimal(0)}),
        dots=dots,
    )


def _scale(low: float, high: float, start: float, end: float) -> Callable[[float], float]:
    span = (high - low) or 1.0
    return lambda value: start + (value - low) / span * (end - start)


def _stepped(first: float, dots: Iterable[tuple[float, float, bool]]) -> list[tuple[float, float]]:
    """Level until a day, then straight down or up, and on to the right edge."""
    line, level = [(float(LEFT), first)], first
    for x, y, _ in dots:
        line += [(x, level), (x, y)]
        level = y
    return [*line, (float(WIDTH - RIGHT), level)]


def _day_ticks(start_on: date, days: Sequence[date], across: Callable[[float], float]) -> list[Tick]:
    """The first and last day, and those between that leave room for their words."""
    ticks, free_from = [], LEFT - 1.0
    for on in [start_on, *days]:
        at = across((on - start_on).days)
        if at >= free_from:
            ticks.append(Tick(at, f"{on.day} {on:%b}"))
            free_from = at + 64
    return ticks

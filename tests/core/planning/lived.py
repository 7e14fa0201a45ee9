"""One life of a plan, worked out day by day with plain Python and dates: what `risk` is checked against.

It shares nothing with the planner's own arithmetic: a chain of packages by one person, each after the other, with
visits and drying in between, on a Monday to Friday calendar of four-hour mornings and afternoons.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True)
class Step:
    """Work of some hours, or a visit of some half days that comes no earlier than `slot`; then `drying` days."""

    key: str
    hours: float = 0.0
    half_days: int = 0
    slot: int = 0
    drying: int = 0


def live_through(steps: Sequence[Step], first_on: date, factors: Mapping[str, float]) -> dict[str, tuple[int, int]]:
    """Each step with the number of its first and last half day, counted over working days from `first_on`."""
    at, found = 0.0, {}
    for step in steps:
        if step.half_days:
            extra = int(step.half_days * (max(1.0, factors[step.key]) - 1) + 0.5)
            first = max(-int(-at // 1), step.slot)
            at = float(first + step.half_days + extra)
            found[step.key] = (first, int(at) - 1)
        else:
            ends = at + round(step.hours * factors[step.key] * 4) / 16
            found[step.key] = (int(at), -int(-ends // 1) - 1)
            at = ends
        at = _dried(at, step.drying, first_on)
    return found


def _dried(at: float, days: int, first_on: date) -> float:
    if not days:
        return at
    last_half = -int(-at // 1) - 1
    dry_on = _day(last_half, first_on) + timedelta(days=days)
    number = last_half
    while _day(number, first_on) < dry_on:
        number += 1
    return max(at, float(number - number % 2))


def _day(half: int, first_on: date) -> date:
    weeks, rest = divmod(half // 2, 5)
    return first_on + timedelta(days=7 * weeks + rest)

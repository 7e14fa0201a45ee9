"""Half days that somebody is away, taken together into stretches of whole days and single halves."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.core.stages import Half

ONE_DAY = timedelta(days=1)
AwayHalf = tuple[date, Half]


@dataclass(frozen=True)
class AwayStretch:
    """Days away, both included; `half` is None for whole days, and only a single day has a half."""

    starts_on: date
    ends_on: date
    half: Half | None = None


def away_stretches(halves: Iterable[AwayHalf]) -> list[AwayStretch]:
    """Unbroken runs of whole days, and halves by themselves, in order of time."""
    found: list[AwayStretch] = []
    for on, of_day in sorted(_by_day(halves).items()):
        half = None if len(of_day) == len(Half) else next(iter(of_day))
        if half is None and found and found[-1].half is None and found[-1].ends_on + ONE_DAY == on:
            found[-1] = AwayStretch(found[-1].starts_on, on)
        else:
            found.append(AwayStretch(on, on, half))
    return found


def halves_of(starts_on: date, ends_on: date, half: Half | None = None) -> Iterator[AwayHalf]:
    """The half days of a stretch."""
    for offset in range((ends_on - starts_on).days + 1):
        for each in Half if half is None else (half,):
            yield starts_on + timedelta(days=offset), each


def _by_day(halves: Iterable[AwayHalf]) -> dict[date, set[Half]]:
    days: dict[date, set[Half]] = defaultdict(set)
    for on, half in halves:
        days[on].add(half)
    return days

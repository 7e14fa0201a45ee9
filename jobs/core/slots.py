"""A slot: from the start of one half day to the end of another, in words and in clock time."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.core.stages import Half
from jobs.core.workdays import Calendar, days_between

DAY_SESSIONS = 2


@dataclass(frozen=True, order=True)
class Slot:
    """When somebody attends: half days, both ends included."""

    starts_on: date
    starts_half: Half
    ends_on: date
    ends_half: Half

    @property
    def words(self) -> str:
        """Such as: Mon 3 March, morning; Mon 3 March, all day; Mon 3 March to Wed 5 March (until midday)."""
        if self.starts_on == self.ends_on:
            halves = self.starts_half.label if self.starts_half == self.ends_half else "all day"
            return f"{day_words(self.starts_on)}, {halves}"
        late = " (from midday)" if self.starts_half == Half.AFTERNOON else ""
        early = " (until midday)" if self.ends_half == Half.MORNING else ""
        return f"{day_words(self.starts_on)}{late} to {day_words(self.ends_on)}{early}"

    def halves_on(self, on: date) -> tuple[Half, ...]:
        """The halves of a day that lie in the slot, which must hold the day; "am" sorts before "pm"."""
        first = self.starts_half if on == self.starts_on else Half.MORNING
        last = self.ends_half if on == self.ends_on else Half.AFTERNOON
        return tuple(half for half in Half if first <= half <= last)


@dataclass(frozen=True)
class Stretch:
    """An unbroken stretch of attendance, `ends_at` not included; an all-day one runs from midnight to midnight."""

    starts_at: datetime
    ends_at: datetime
    is_all_day: bool

    def words(self, zone: ZoneInfo) -> str:
        """Such as: Mon 1 March to Wed 3 March; Fri 15 January, 08:00 to 12:00."""
        first, last = self.starts_at.astimezone(zone), self.ends_at.astimezone(zone)
        if not self.is_all_day:
            return f"{day_words(first.date())}, {first:%H:%M} to {last:%H:%M}"
        last_on = last.date() - timedelta(days=1)
        return day_words(first.date()) + (f" to {day_words(last_on)}" if last_on > first.date() else "")


def day_words(on: date) -> str:
    """Such as: Mon 3 March."""
    return f"{on:%a} {on.day} {on:%B}"


def day_stretch(on: date, halves: Collection[Half], calendar: Calendar, zone: ZoneInfo) -> Stretch:
    """The working hours of one or both halves of a day, by the firm's session times."""
    times = [{Half.MORNING: calendar.morning, Half.AFTERNOON: calendar.afternoon}[half] for half in Half if half in halves]
    return Stretch(_moment(on, times[0][0], zone), _moment(on, times[-1][1], zone), is_all_day=False)


def stretches(slot: Slot, calendar: Calendar, zone: ZoneInfo) -> list[Stretch]:
    """The slot as calendar stretches: timed day by day up to a day's length, else one all-day span per unbroken run."""
    days = [day for day in days_between(slot.starts_on, slot.ends_on) if _is_worked(day, slot, calendar)]
    if sum(len(slot.halves_on(day)) for day in days) <= DAY_SESSIONS:
        return [day_stretch(day, slot.halves_on(day), calendar, zone) for day in days]
    return [_span(run[0], run[-1], zone) for run in _unbroken_runs(days)]


def _is_worked(day: date, slot: Slot, calendar: Calendar) -> bool:
    # The two ends were agreed with somebody, so they count even where the firm's calendar rests.
    return day in (slot.starts_on, slot.ends_on) or calendar.is_working(day)


def _unbroken_runs(days: list[date]) -> Iterator[list[date]]:
    run: list[date] = []
    for day in days:
        if run and day - run[-1] > timedelta(days=1):
            yield run
            run = []
        run.append(day)
    yield run


def _span(first: date, last: date, zone: ZoneInfo) -> Stretch:
    midnight = _moment(first, time(0), zone), _moment(last + timedelta(days=1), time(0), zone)
    return Stretch(*midnight, is_all_day=True)


def _moment(on: date, at: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(on, at, zone).astimezone(UTC)

"""The firm's working days: sessions (half working days), weekends, bank holidays, extra closed and open days."""

from bisect import bisect_left
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cached_property, lru_cache

from jobs.core.stages import Half

REGIONS = {"ENG": "England", "WLS": "Wales", "SCT": "Scotland", "NIR": "Northern Ireland"}
MONDAY_TO_FRIDAY = frozenset(range(5))


@lru_cache(maxsize=256)
def bank_holidays(region: str, year: int) -> Mapping[date, str]:
    """Days the region's banks rest, with their names, substitute days included. ValueError for an unknown region."""
    import holidays

    if region not in REGIONS:
        raise ValueError(f"“{region}” is not a region. Use one of {', '.join(REGIONS)}.")
    return dict(holidays.country_holidays("GB", subdiv=region, years=year))


@dataclass(frozen=True, order=True)
class Session:
    """Half a working day: the unit of planned time."""

    on: date
    half: Half

    def __str__(self) -> str:
        return f"{self.on:%a} {self.on.day} {self.on:%b} {self.half.value}"


@dataclass(frozen=True)
class Calendar:
    """When a firm works.

    `closed` and `opened` are the firm's own days against the usual calendar, each with its name;
    `opened` wins over weekends, bank holidays and `closed`.
    """

    region: str = "ENG"
    morning: tuple[time, time] = (time(8, 0), time(12, 0))
    afternoon: tuple[time, time] = (time(12, 30), time(16, 30))
    weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    closed: Mapping[date, str] = field(default_factory=dict)
    opened: Mapping[date, str] = field(default_factory=dict)

    def rest_name(self, on: date) -> str | None:
        """Why nobody works on a day ("Good Friday", "weekend"), or None on a working day."""
        if on in self.opened:
            return None
        if on in self.closed:
            return self.closed[on]
        if on.weekday() not in self.weekdays:
            return "weekend"
        return bank_holidays(self.region, on.year).get(on)

    def is_working(self, on: date) -> bool:
        return self.rest_name(on) is None

    def hours(self, half: Half) -> float:
        """Working hours in a morning or an afternoon."""
        starts, ends = self.morning if half == Half.MORNING else self.afternoon
        return (datetime.combine(date.min, ends) - datetime.combine(date.min, starts)).total_seconds() / 3600


def days_between(first: date, last: date) -> Iterator[date]:
    """Every day from `first` to `last`, both included."""
    for offset in range((last - first).days + 1):
        yield first + timedelta(days=offset)


@dataclass(frozen=True)
class Sessions:
    """The sessions of a stretch of time, numbered from 0; rest days have no number.

    A session number that is one past the end stands for "after the last session".
    """

    calendar: Calendar
    first_on: date
    last_on: date
    sessions: tuple[Session, ...]

    def __len__(self) -> int:
        return len(self.sessions)

    def __getitem__(self, index: int) -> Session:
        return self.sessions[index]

    @cached_property
    def _numbers(self) -> dict[Session, int]:
        return {session: number for number, session in enumerate(self.sessions)}

    @cached_property
    def _half_days(self) -> tuple[int, ...]:
        return tuple(_half_day(session.on, session.half) for session in self.sessions)

    @cached_property
    def hours(self) -> tuple[float, ...]:
        """Working hours of each session."""
        length = {half: self.calendar.hours(half) for half in Half}
        return tuple(length[session.half] for session in self.sessions)

    def on(self, index: int) -> date:
        """The day of a session; past the end, the day after the last."""
        return self.sessions[index].on if index < len(self.sessions) else self.last_on + timedelta(days=1)

    def index(self, on: date, half: Half = Half.MORNING) -> int | None:
        """The number of a session, or None when nobody works then."""
        return self._numbers.get(Session(on, half))

    def first_on_or_after(self, on: date, half: Half = Half.MORNING) -> int:
        """The first session at or after the start of a half day; `len(self)` when there is none."""
        return bisect_left(self._half_days, _half_day(on, half))

    def after_elapsed(self, last_index: int, days: int) -> int:
        """The first session once `days` elapsed days have passed since the day of `last_index`.

        Rest days count as elapsed: plaster dries on Sundays and bank holidays.
        """
        return self.first_on_or_after(self.on(last_index) + timedelta(days=days))


def _half_day(on: date, half: Half) -> int:
    """Half days counted without a break, so that they compare fast."""
    return 2 * on.toordinal() + (half == Half.AFTERNOON)


def sessions_between(calendar: Calendar, first: date, last: date) -> Sessions:
    """Number the sessions of every working day from `first` to `last`, both included."""
    worked = (day for day in days_between(first, last) if calendar.is_working(day))
    return Sessions(calendar, first, last, tuple(Session(day, half) for day in worked for half in Half))

"""Somebody else's calendar to the half days its owner is busy; nothing else of it is looked at or kept.

Sources: RFC 5545 sections 3.8.2.7 (TRANSP), 3.8.1.11 (STATUS), 3.6.1 (an end is exclusive), 3.8.5 (recurrence).
"""

import time as clock
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import recurring_ical_events
from icalendar import Calendar, Component, Event

from jobs.core.stages import Half

MOST_BYTES = 1024 * 1024
MOST_EVENTS = 5000
MOST_SECONDS = 20
"""A hostile rule can take minutes to unroll; between two events the time used so far is looked at."""
TOO_FINE = ("SECONDLY", "MINUTELY", "HOURLY")
FREE = "FREE"
ONE_DAY = timedelta(days=1)


class UnreadableCalendarError(Exception):
    """Why nothing can be taken from a calendar, and what to do."""


@dataclass(frozen=True)
class Window:
    """Which days are looked at (both included), on whose clock, and when a morning and an afternoon are worked."""

    first_on: date
    last_on: date
    zone: ZoneInfo
    morning: tuple[time, time]
    afternoon: tuple[time, time]

    @property
    def sessions(self) -> tuple[tuple[Half, tuple[time, time]], ...]:
        return (Half.MORNING, self.morning), (Half.AFTERNOON, self.afternoon)


@dataclass(frozen=True)
class Busy:
    """`halves` in order of time; `unread` counts entries that could not be understood."""

    halves: tuple[tuple[date, Half], ...]
    unread: int = 0


def read_busy(raw: bytes, window: Window) -> Busy:
    """Every half day in which an event takes time. UnreadableCalendarError when the bytes are no calendar."""
    halves: set[tuple[date, Half]] = set()
    unread, gives_up_at = 0, clock.monotonic() + MOST_SECONDS
    for series in _series(_read_calendars(raw)):
        if clock.monotonic() > gives_up_at:
            raise UnreadableCalendarError("Its repeating entries take too long to work out. Save fewer of them to a file.")
        # What a stranger's entry provokes in the libraries has no common base; one bad entry must not hide the others.
        try:
            halves.update(_busy_halves(series, window))
        except Exception:  # noqa: BLE001
            unread += 1
    return Busy(tuple(sorted(halves, key=lambda each: (each[0], each[1] == Half.AFTERNOON))), unread)


def _read_calendars(raw: bytes) -> list[Component]:
    if len(raw) > MOST_BYTES:
        raise UnreadableCalendarError("It is larger than 1 MB. Save only the calendar with the days away.")
    try:
        calendars = Calendar.from_ical(raw.removeprefix(b"\xef\xbb\xbf"), multiple=True)
    except Exception as error:  # noqa: BLE001
        raise UnreadableCalendarError(f"It is not a calendar file ({type(error).__name__}). Save it as .ics.") from error
    if not any(calendar.name == "VCALENDAR" for calendar in calendars):
        raise UnreadableCalendarError("It is not a calendar file: it does not begin with BEGIN:VCALENDAR. Save it as .ics.")
    return calendars


def _series(calendars: list[Component]) -> Iterator[Calendar]:
    """Each event with its changed occurrences, and the time zones they are written in, by itself."""
    for calendar in calendars:
        series: dict[str, list[Component]] = {}
        for number, event in enumerate(calendar.walk("VEVENT")):
            series.setdefault(str(event.get("UID", f"none-{number}")), []).append(event)
        if len(series) > MOST_EVENTS:
            raise UnreadableCalendarError(f"It holds more than {MOST_EVENTS} entries. Save only the days away.")
        for events in series.values():
            alone = Calendar()
            alone.subcomponents = [*calendar.walk("VTIMEZONE"), *events]
            yield alone


def _busy_halves(series: Calendar, window: Window) -> Iterator[tuple[date, Half]]:
    for event in series.walk("VEVENT"):
        _refuse_too_fine(event)
    # A day more on both sides: an event may be written in a zone where another day has begun.
    around = window.first_on - ONE_DAY, window.last_on + 2 * ONE_DAY
    for event in recurring_ical_events.of(series).between(*around):
        if _takes_time(event):
            yield from _halves_between(event, window)


def _refuse_too_fine(event: Event) -> None:
    """An entry every few minutes is no absence, and unrolling years of it would take all memory."""
    named = [event.get(name, []) for name in ("RRULE", "EXRULE")]
    for rule in (rule for rules in named for rule in (rules if isinstance(rules, list) else [rules])):
        if {str(part).upper() for part in rule.get("FREQ", [])} & set(TOO_FINE) or "BYMINUTE" in rule or "BYSECOND" in rule:
            raise ValueError("It repeats within the hour.")


def _takes_time(event: Event) -> bool:
    is_free = str(event.get("TRANSP", "")).upper() == "TRANSPARENT"
    is_free = is_free or str(event.get("X-MICROSOFT-CDO-BUSYSTATUS", "")).upper() == FREE
    return not is_free and str(event.get("STATUS", "")).upper() != "CANCELLED"


def _halves_between(event: Event, window: Window) -> Iterator[tuple[date, Half]]:
    starts, ends = event.start, event.end
    if not isinstance(starts, datetime):
        last_on = max(ends - ONE_DAY, starts)
        yield from ((on, half) for on in _days(starts, last_on, window) for half in Half)
        return
    starts, ends = (_moment(when, window.zone) for when in (starts, ends))
    for on in _days(starts.astimezone(window.zone).date(), ends.astimezone(window.zone).date(), window):
        for half, (opens, closes) in window.sessions:
            if starts < _at(on, closes, window.zone) and ends > _at(on, opens, window.zone):
                yield on, half


def _days(first: date, last: date, window: Window) -> Iterator[date]:
    first, last = max(first, window.first_on), min(last, window.last_on)
    return (first + timedelta(days=offset) for offset in range((last - first).days + 1))


def _moment(when: datetime, zone: ZoneInfo) -> datetime:
    """A time without a zone is meant on the reader's clock (RFC 5545 section 3.3.5, form 1)."""
    return (when if when.tzinfo else when.replace(tzinfo=zone)).astimezone(UTC)


def _at(on: date, when: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(on, when, zone).astimezone(UTC)

"""Events to iCalendar text, for calendars that people subscribe to (RFC 5545, RFC 7986, RFC 9253).

A feed carries no METHOD: it announces dates and asks nobody anything.
"""

from collections.abc import Iterable
from datetime import UTC, timedelta
from functools import lru_cache

from icalendar import Alarm, Calendar, Event, vDuration, vText

from jobs.calendars.text import clean
from jobs.calendars.zone import LONDON_TEXT, as_written
from jobs.core.events import CalendarEvent

SERIALISER_VERSION = 2
"""Raise it when the text of an unchanged event changes, so that readers fetch it again."""

PRODUCT = "-//rewire//calendar//EN"
REFRESH_EVERY = timedelta(hours=1)
EVENING_BEFORE = timedelta(hours=6)
"""Six o'clock, before an event that starts at midnight."""
END_OF_FEED = "END:VCALENDAR\r\n"
MOST_KEPT_EVENTS = 20_000


@lru_cache(maxsize=MOST_KEPT_EVENTS)
def event_text(event: CalendarEvent) -> str:
    """The event as one VEVENT: lines of at most 75 octets that end in CRLF."""
    return write_event(event).to_ical().decode()


def write_event(event: CalendarEvent) -> Event:
    """The event as a VEVENT to which more can be added."""
    written = Event()
    add_identity(written, event)
    _add_time(written, event)
    _add_words(written, event)
    for relation in event.relations:
        gap = {"GAP": f"P{relation.gap_days}D"} if relation.gap_days else {}
        written.add("related-to", relation.uid, parameters={"RELTYPE": relation.order.value, **gap})
    if event.alarm_minutes is not None:
        written.add_component(_alarm(event))
    return written


def feed_text(name: str, fragments: Iterable[str]) -> str:
    """A whole calendar called `name` from the texts of its events."""
    head = _head(name).to_ical().decode()
    return head.removesuffix(END_OF_FEED) + LONDON_TEXT + "".join(fragments) + END_OF_FEED


def _head(name: str) -> Calendar:
    head = Calendar()
    head.add("prodid", PRODUCT)
    head.add("version", "2.0")
    head.add("calscale", "GREGORIAN")
    # icalendar writes these two as they are given unless they come as vText: a comma would cut the name short.
    head.add("name", vText(clean(name)))
    head.add("x-wr-calname", vText(clean(name)))
    head.add("refresh-interval", vDuration(REFRESH_EVERY), parameters={"VALUE": "DURATION"})
    head.add("x-published-ttl", vDuration(REFRESH_EVERY))
    return head


def add_identity(written: Event, event: CalendarEvent) -> None:
    written.add("uid", event.uid)
    written.add("sequence", event.sequence)
    revised_at = event.revised_at.astimezone(UTC).replace(microsecond=0)
    written.add("dtstamp", revised_at)
    written.add("last-modified", revised_at)


def _add_time(written: Event, event: CalendarEvent) -> None:
    starts, ends = event.starts, event.ends
    if not event.is_all_day:
        starts, ends = as_written(starts, ends, event.zone)
    written.add("dtstart", starts)
    written.add("dtend", ends)
    written.add("status", "TENTATIVE" if event.is_tentative else "CONFIRMED")
    written.add("transp", "OPAQUE" if event.takes_time else "TRANSPARENT")
    busy = "TENTATIVE" if event.is_tentative else "BUSY"
    written.add("x-microsoft-cdo-busystatus", vText(busy if event.takes_time else "FREE"))


def _alarm(event: CalendarEvent) -> Alarm:
    before = EVENING_BEFORE if event.is_all_day else timedelta(minutes=event.alarm_minutes)
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", -before)
    alarm.add("description", clean(event.summary) or "Reminder")
    return alarm


def _add_words(written: Event, event: CalendarEvent) -> None:
    written.add("summary", clean(event.summary))
    for name, words in (("description", event.description), ("location", event.place)):
        if clean(words):
            written.add(name, clean(words))
    if event.web_address:
        written.add("url", event.web_address)

"""What a subscribed calendar shows: a window of the entries of one person, job, trade, or of the whole firm."""

import hashlib
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from jobs.core.events import CalendarEvent
from jobs.models import CalendarEntry, SecretLink
from jobs.queries.customer_feed import load_customer_events
from jobs.queries.days_away import load_days_away
from jobs.queries.feed_order import put_in_order
from jobs.queries.held_back import is_untold
from jobs.queries.told_feed import load_as_told

DAYS_BACK = timedelta(days=60)
DAYS_AHEAD = timedelta(days=548)
"""Eighteen months: readers slow down with thousands of events."""

SHOWN = (
    "uid", "sequence", "revised_at", "is_all_day", "starts_at", "ends_at", "is_tentative", "summary", "description", "place",
    "person__name",
)
AWAY_SHOWN = (SecretLink.Purpose.PERSON_FEED, SecretLink.Purpose.FIRM_FEED)
NAMED = (SecretLink.Purpose.JOB_FEED, SecretLink.Purpose.FIRM_FEED)
"""Calendars of several people: they say whose day it is, take nobody's time, and can say what waits for what."""


def feed_name(link: SecretLink) -> str:
    """What the calendar is called in the reader: whose days, and whose firm plans them."""
    if link.purpose == SecretLink.Purpose.CUSTOMER_FEED:
        return f"Your rewire ({link.firm.name})"
    whose = link.person or link.job
    return f"{whose} ({link.firm.name})" if whose else link.firm.name


def feed_version(link: SecretLink, today: date, serialiser_version: int) -> str:
    """Changes whenever anything in the feed does: an entry, the window, a name or how events are written."""
    parts = (
        link.uid, link.firm.calendar_version, today, serialiser_version, feed_name(link), link.firm.zone, *_options(link),
        *_derived(link, today),
    )
    return hashlib.sha256("\n".join(map(str, parts)).encode()).hexdigest()[:32]


def load_events(link: SecretLink, today: date) -> list[CalendarEvent]:
    """The feed's events: in one query, and in more where a trade was not told everything or days away are shown."""
    events = _shown_events(link, today)
    if link.shows_days_away and link.purpose in AWAY_SHOWN:
        events += load_days_away(link.firm, today - DAYS_BACK, today + DAYS_AHEAD, person=link.person)
    if link.shows_order and link.purpose in NAMED:
        events = put_in_order(events, link.firm, job=link.job)
    if link.alarm_minutes is None:
        return events
    return [replace(event, alarm_minutes=link.alarm_minutes) for event in events]


def _derived(link: SecretLink, today: date) -> list[CalendarEvent]:
    """What no entry holds: a customer's events, whose words follow from the survey and from who comes as well; order."""
    is_derived = link.purpose == SecretLink.Purpose.CUSTOMER_FEED or link.shows_order
    return load_events(link, today) if is_derived else []


def _options(link: SecretLink) -> tuple[object, ...]:
    return link.shows_days_away, link.shows_order, link.alarm_minutes


def _shown_events(link: SecretLink, today: date) -> list[CalendarEvent]:
    zone = ZoneInfo(link.firm.zone)
    opens, closes = (datetime.combine(today + days, time(0), zone) for days in (-DAYS_BACK, DAYS_AHEAD))
    if link.purpose == SecretLink.Purpose.CUSTOMER_FEED:
        return load_customer_events(link.job, opens, closes)
    if link.purpose == SecretLink.Purpose.TRADE_FEED and is_untold(link.contact):
        return load_as_told(link.contact, today, opens, closes)
    entries = _entries(link).filter(is_gone=False, ends_at__gt=opens, starts_at__lt=closes)
    rows = entries.order_by("starts_at", "pk").values_list(*SHOWN, named=True)
    return [_event(row, zone, link.purpose in NAMED) for row in rows]


def _entries(link: SecretLink) -> QuerySet[CalendarEntry]:
    if link.purpose == SecretLink.Purpose.TRADE_FEED:
        return _told_entries(link)
    entries = CalendarEntry.objects.filter(firm_id=link.firm_id)
    if link.purpose == SecretLink.Purpose.FIRM_FEED:
        return entries
    return entries.filter(person=link.person) if link.person_id else entries.filter(job=link.job)


def _told_entries(link: SecretLink) -> QuerySet[CalendarEntry]:
    """A trade sees the visits it was told of, and no other's."""
    visits = link.contact.visits.filter(told_dates__notice__contact=link.contact).values("pk")
    return CalendarEntry.objects.filter(firm_id=link.firm_id, visit_id__in=visits)


def _event(row: tuple, zone: ZoneInfo, is_named: bool) -> CalendarEvent:
    starts, ends = row.starts_at, row.ends_at
    if row.is_all_day:
        starts, ends = starts.astimezone(zone).date(), ends.astimezone(zone).date()
    return CalendarEvent(
        uid=str(row.uid),
        sequence=row.sequence,
        revised_at=row.revised_at,
        starts=starts,
        ends=ends,
        summary=f"{row.person__name}: {row.summary}" if is_named and row.person__name else row.summary,
        description=row.description,
        place=row.place,
        zone=zone.key,
        is_tentative=row.is_tentative,
        takes_time=not is_named,
    )

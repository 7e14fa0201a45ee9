"""What a subscribed calendar shows: a window of the entries of one person, job or trade."""

import hashlib
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from jobs.core.events import CalendarEvent
from jobs.models import CalendarEntry, SecretLink
from jobs.queries.customer_feed import load_customer_events

DAYS_BACK = timedelta(days=60)
DAYS_AHEAD = timedelta(days=548)
"""Eighteen months: readers slow down with thousands of events."""

SHOWN = (
    "uid", "sequence", "revised_at", "is_all_day", "starts_at", "ends_at", "is_tentative", "summary", "description", "place",
)


def feed_name(link: SecretLink) -> str:
    """What the calendar is called in the reader: whose days, and whose firm plans them."""
    if link.purpose == SecretLink.Purpose.CUSTOMER_FEED:
        return f"Your rewire ({link.firm.name})"
    whose = link.person or link.job
    return f"{whose} ({link.firm.name})" if whose else link.firm.name


def feed_version(link: SecretLink, today: date, serialiser_version: int) -> str:
    """Changes whenever anything in the feed does: an entry, the window, a name or how events are written."""
    parts = (link.uid, link.firm.calendar_version, today, serialiser_version, feed_name(link), link.firm.zone)
    return hashlib.sha256("\n".join(map(str, parts)).encode()).hexdigest()[:32]


def load_events(link: SecretLink, today: date) -> list[CalendarEvent]:
    """The feed's events, in one query."""
    zone = ZoneInfo(link.firm.zone)
    opens, closes = (datetime.combine(today + days, time(0), zone) for days in (-DAYS_BACK, DAYS_AHEAD))
    if link.purpose == SecretLink.Purpose.CUSTOMER_FEED:
        return load_customer_events(link.job, opens, closes)
    entries = _entries(link).filter(is_gone=False, ends_at__gt=opens, starts_at__lt=closes)
    takes_time = link.purpose != SecretLink.Purpose.JOB_FEED
    return [_event(row, zone, takes_time) for row in entries.order_by("starts_at", "pk").values_list(*SHOWN, named=True)]


def _entries(link: SecretLink) -> QuerySet[CalendarEntry]:
    if link.purpose == SecretLink.Purpose.TRADE_FEED:
        return _told_entries(link)
    entries = CalendarEntry.objects.filter(firm_id=link.firm_id)
    return entries.filter(person=link.person) if link.person_id else entries.filter(job=link.job)


def _told_entries(link: SecretLink) -> QuerySet[CalendarEntry]:
    """A trade sees the visits it was told of, and no other's."""
    visits = link.contact.visits.filter(told_dates__notice__contact=link.contact).values("pk")
    return CalendarEntry.objects.filter(firm_id=link.firm_id, visit_id__in=visits)


def _event(row: CalendarEntry, zone: ZoneInfo, takes_time: bool) -> CalendarEvent:
    starts, ends = row.starts_at, row.ends_at
    if row.is_all_day:
        starts, ends = starts.astimezone(zone).date(), ends.astimezone(zone).date()
    return CalendarEvent(
        uid=str(row.uid),
        sequence=row.sequence,
        revised_at=row.revised_at,
        starts=starts,
        ends=ends,
        summary=row.summary,
        description=row.description,
        place=row.place,
        zone=zone.key,
        is_tentative=row.is_tentative,
        takes_time=takes_time,
    )

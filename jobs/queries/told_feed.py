"""A trade's calendar while a plan is kept from them: the dates they were told, under the identities these have for life."""

from collections.abc import Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.core.events import CalendarEvent
from jobs.core.slots import Stretch, stretches
from jobs.core.workdays import Calendar
from jobs.models import CalendarEntry, Contact, ToldDate
from jobs.queries.attendance import STATE_WORDS
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.told import load_told, told_slot


def load_as_told(contact: Contact, today: date, opens: datetime, closes: datetime) -> list[CalendarEvent]:
    """What a contact was told, between two moments."""
    calendar, zone = load_calendar(contact.firm, today), ZoneInfo(contact.firm.zone)
    told = load_told(contact.firm_id, notice__contact=contact, visit__contact=contact).values()
    known = {row.key: row for row in CalendarEntry.objects.filter(firm_id=contact.firm_id, visit__contact=contact)}
    return [
        _event(row, known[key], stretch, zone)
        for row in told
        for key, stretch in _runs(row, calendar, zone)
        if key in known and stretch.ends_at > opens and stretch.starts_at < closes
    ]


def _runs(told: ToldDate, calendar: Calendar, zone: ZoneInfo) -> Iterator[tuple[str, Stretch]]:
    slot = told_slot(told)
    for number, stretch in enumerate(stretches(slot, calendar, zone) if slot else (), start=1):
        yield f"visit:{told.visit_id}:{number}", stretch


def _event(told: ToldDate, entry: CalendarEntry, stretch: Stretch, zone: ZoneInfo) -> CalendarEvent:
    starts, ends = stretch.starts_at, stretch.ends_at
    if stretch.is_all_day:
        starts, ends = starts.astimezone(zone).date(), ends.astimezone(zone).date()
    return CalendarEvent(
        uid=str(entry.uid), sequence=entry.sequence, revised_at=entry.revised_at, starts=starts, ends=ends,
        summary=entry.summary, description=f"{told_slot(told).words}\n{STATE_WORDS.get(told.visit.state, '')}".strip(),
        place=entry.place, zone=zone.key, is_tentative=told.answer != ToldDate.Answer.ACCEPTED,
    )

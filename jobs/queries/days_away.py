"""Days somebody does not work, as events beside their work: absences and college days. Sickness shows as being away."""

import uuid
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from jobs.core.events import CalendarEvent
from jobs.core.slots import day_stretch
from jobs.core.stages import Half
from jobs.core.workdays import days_between
from jobs.models import Absence, DayRelease, Firm, Part, Person
from jobs.queries.firm_calendar import load_calendar

TOLD_KINDS = {Absence.Kind.HOLIDAY: "Holiday", Absence.Kind.COLLEGE: "College"}
HALVES = {Part.MORNING: Half.MORNING, Part.AFTERNOON: Half.AFTERNOON}


def load_days_away(firm: Firm, first: date, last: date, *, person: Person | None) -> list[CalendarEvent]:
    """Of one person, or of everyone at work here with their name, from one day to another; three queries at most."""
    people = Q(person=person) if person else Q(person__firm=firm, person__is_active=True)
    overlapping = Q(starts_on__lte=last, ends_on__gte=first)
    absences = Absence.objects.filter(people, overlapping).select_related("person")
    college = DayRelease.objects.filter(people, overlapping).select_related("person")
    events = [*_absences(firm, absences, first, last), *_college(college, first, last)]
    return [event if person else _named(event, who) for event, who in events]


def _absences(firm: Firm, rows: Iterable[Absence], first: date, last: date) -> Iterator[tuple[CalendarEvent, Person]]:
    calendar, zone = load_calendar(firm, first), ZoneInfo(firm.zone)
    for row in rows:
        words = TOLD_KINDS.get(row.kind, "Away")
        if row.part == Part.ALL_DAY:
            yield _event(row, f"absence:{row.pk}", words, row.starts_on, row.ends_on + timedelta(days=1)), row.person
            continue
        for on in days_between(max(row.starts_on, first), min(row.ends_on, last)):
            part = day_stretch(on, {HALVES[row.part]}, calendar, zone)
            yield _event(row, f"absence:{row.pk}:{on}", words, part.starts_at, part.ends_at, zone.key), row.person


def _college(rows: Iterable[DayRelease], first: date, last: date) -> Iterator[tuple[CalendarEvent, Person]]:
    for row in rows:
        for on in days_between(max(row.starts_on, first), min(row.ends_on, last)):
            if on.weekday() == row.weekday:
                yield _event(row, f"college:{row.pk}:{on}", "College", on, on + timedelta(days=1)), row.person


def _event(
    row: Absence | DayRelease, name: str, words: str, starts: date | datetime, ends: date | datetime,
    zone: str = "Europe/London",
) -> CalendarEvent:
    """A row is added and removed, never edited, so its events keep their first sequence."""
    changed_at = row.person.away_changed_at or datetime.combine(row.starts_on, datetime.min.time(), UTC)
    return CalendarEvent(
        uid=str(uuid.uuid5(row.person.uid, name)), sequence=0, revised_at=changed_at, starts=starts, ends=ends,
        summary=words, zone=zone,
    )


def _named(event: CalendarEvent, who: Person) -> CalendarEvent:
    return replace(event, summary=f"{who}: {event.summary}", takes_time=False)

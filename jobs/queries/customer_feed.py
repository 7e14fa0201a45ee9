"""The customer's calendar: a day of work at their house is one event, a visit of another trade is one.

It has no entries of its own. Identity, sequence and moment of change follow from the entries of the crew's days and the
visits, which keep theirs for life; the words are the customer's.
"""

import uuid
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.core.customer_words import STAGE_WORDS, first_name, is_power_off
from jobs.core.events import CalendarEvent
from jobs.core.stages import RoomKind, Stage, Trade
from jobs.models import Booking, CalendarEntry, Job
from jobs.queries.plans import find_issued


def load_customer_events(job: Job, opens: datetime, closes: datetime) -> list[CalendarEvent]:
    """Events between two moments, by the issued plan."""
    zone = ZoneInfo(job.firm.zone)
    entries = CalendarEntry.objects.filter(job=job, deadline="", ends_at__gt=opens, starts_at__lt=closes)
    entries = list(entries.select_related("visit__kind", "visit__area", "visit__contact").order_by("starts_at", "pk"))
    return sorted([*_work_days(job, entries, zone), *_visits(job, entries, zone)], key=lambda event: event.uid)


def _work_days(job: Job, entries: list[CalendarEntry], zone: ZoneInfo) -> Iterator[CalendarEvent]:
    of_day: dict[date, list[CalendarEntry]] = defaultdict(list)
    for entry in entries:
        if entry.person_id:
            of_day[entry.starts_at.astimezone(zone).date()].append(entry)
    words = _Words(job)
    for on, rows in of_day.items():
        standing = [row for row in rows if not row.is_gone]
        if standing:
            yield CalendarEvent(
                uid=_uid(job, on.isoformat()),
                # Every change of one of the day's entries raises its own sequence or adds a row, and none is ever lost.
                sequence=sum(row.sequence + 1 for row in rows) - 1,
                revised_at=max(row.revised_at for row in rows),
                starts=min(row.starts_at for row in standing),
                ends=max(row.ends_at for row in standing),
                summary=words.summary(on),
                description=words.description(on),
                zone=zone.key,
            )


def _visits(job: Job, entries: list[CalendarEntry], zone: ZoneInfo) -> Iterator[CalendarEvent]:
    for row in entries:
        if row.visit_id and not row.is_gone:
            starts, ends = row.starts_at, row.ends_at
            if row.is_all_day:
                starts, ends = starts.astimezone(zone).date(), ends.astimezone(zone).date()
            yield CalendarEvent(
                uid=_uid(job, str(row.uid)),
                sequence=row.sequence,
                revised_at=row.revised_at,
                starts=starts,
                ends=ends,
                summary=str(row.visit),
                description=_who(row),
                zone=zone.key,
                is_tentative=row.is_tentative,
            )


def _who(row: CalendarEntry) -> str:
    trade = Trade(row.visit.kind.trade).label
    return f"{first_name(row.visit.contact.name)}, {trade.lower()}" if row.visit.contact else trade


def _uid(job: Job, name: str) -> str:
    """Unlike any UID of the firm's own calendars, so that a reader of two of them mixes nothing up."""
    return str(uuid.uuid5(job.uid, f"customer:{name}"))


class _Words:
    """What happens on each day, as the issued plan books it."""

    def __init__(self, job: Job) -> None:
        plan = find_issued(job.firm)
        rows = plan.bookings.filter(package__job=job).select_related("package", "person") if plan else []
        self._of_day: dict[date, list[Booking]] = defaultdict(list)
        for row in rows:
            self._of_day[row.on].append(row)
        self._boards = set(job.rooms.filter(kind=RoomKind.BOARD).values_list("area_id", flat=True))

    def summary(self, on: date) -> str:
        rows = self._of_day.get(on, [])
        is_off = any(is_power_off(row.package.stage, has_board=row.package.area_id in self._boards) for row in rows)
        return "Electricians in the house, power off" if is_off else "Electricians in the house"

    def description(self, on: date) -> str:
        rows = self._of_day.get(on, [])
        stages = [STAGE_WORDS[stage] for stage in Stage if any(row.package.stage == stage for row in rows)]
        names = sorted({first_name(row.person.name) for row in rows})
        return "\n".join([*(f"{words}." for words in stages), *([", ".join(names)] if names else [])])

"""An issued plan → the calendar entries it asks for: each person's working days, each visit's dates."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.core.slots import Slot, Stretch, day_stretch, stretches
from jobs.core.stages import Half
from jobs.core.telling import GO_AHEAD_FOLLOWS
from jobs.core.workdays import Calendar
from jobs.models import Booking, CalendarEntry, Job, Plan, RoomTask, Span, Visit
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.hold_points import load_awaiting

ATTENDED = (Visit.State.PENCILLED, Visit.State.ASKED, Visit.State.ACCEPTED, Visit.State.DONE)
"""States of a visit that has dates: one that was declined or cancelled has none."""

STATE_WORDS = {
    Visit.State.PENCILLED: "Pencilled in, not agreed yet.",
    Visit.State.ASKED: "Asked for, not answered yet.",
    Visit.State.ACCEPTED: "Agreed.",
    Visit.State.DONE: "Done.",
}

MOST_SUMMARY_CHARACTERS = CalendarEntry._meta.get_field("summary").max_length
MOST_PLACE_CHARACTERS = CalendarEntry._meta.get_field("place").max_length


@dataclass(frozen=True)
class WantedEntry:
    """What a calendar entry should say; `key` finds the entry it already is."""

    key: str
    job_id: int
    starts_at: datetime
    ends_at: datetime
    summary: str
    description: str
    place: str
    person_id: int | None = None
    visit_id: int | None = None
    is_all_day: bool = False
    is_tentative: bool = False
    deadline: str = ""


def load_wanted(plan: Plan, now: datetime) -> list[WantedEntry]:
    """Every entry of the plan, in a fixed number of queries."""
    calendar, zone = load_calendar(plan.firm, local_today(plan.firm, now)), ZoneInfo(plan.firm.zone)
    return [*_working_days(plan, calendar, zone), *_visits(plan, calendar, zone)]


def span_slot(span: Span) -> Slot:
    return Slot(span.starts_on, Half(span.starts_half), span.ends_on, Half(span.ends_half))


def list_visit_spans(plan: Plan, states: Iterable[str]) -> list[Span]:
    """Spans of the visits in these states, with all that is said about them."""
    related = ("visit__kind", "visit__area", "visit__job", "visit__contact")
    spans = plan.spans.filter(visit__state__in=states).exclude(visit__job__state=Job.State.DROPPED)
    return list(spans.select_related(*related).order_by("starts_on", "starts_half", "visit_id"))


def list_bookings(plan: Plan, first: date = date.min, last: date = date.max) -> list[Booking]:
    """Bookings from one day to another, with whom, where and what."""
    related = ("person", "package__area", "package__job")
    bookings = plan.bookings.filter(on__range=(first, last)).exclude(package__job__state=Job.State.DROPPED)
    return list(bookings.select_related(*related).order_by("on", "half", "package_id", "person__name"))


def _working_days(plan: Plan, calendar: Calendar, zone: ZoneInfo) -> Iterator[WantedEntry]:
    """One entry for each person, day and job."""
    bookings = list_bookings(plan)
    rooms = _load_rooms(booking.package_id for booking in bookings)
    names: dict[tuple, set[str]] = defaultdict(set)
    days: dict[tuple, list[Booking]] = defaultdict(list)
    for booking in bookings:
        names[booking.on, booking.package.job_id].add(booking.person.name)
        days[booking.person_id, booking.on, booking.package.job_id].append(booking)
    for (_, on, job_pk), of_day in days.items():
        others = sorted(names[on, job_pk] - {of_day[0].person.name})
        stretch = day_stretch(on, {Half(row.half) for row in of_day}, calendar, zone)
        yield _working_day(of_day, others, stretch, rooms)


def _load_rooms(package_pks: Iterable[int]) -> dict[int, list[str]]:
    """Package pk → the rooms it has lines in, in the order of the survey."""
    tasks = RoomTask.objects.filter(package_id__in=set(package_pks), is_withdrawn=False)
    rows = tasks.order_by("room__area__position", "room__position", "room_id").values_list("package_id", "room__name")
    rooms: dict[int, list[str]] = defaultdict(list)
    for package_pk, name in rows:
        if name not in rooms[package_pk]:
            rooms[package_pk].append(name)
    return rooms


def _working_day(
    of_day: list[Booking], others: list[str], stretch: Stretch, rooms: dict[int, list[str]]
) -> WantedEntry:
    first, job = of_day[0], of_day[0].package.job
    packages = dict.fromkeys(booking.package for booking in of_day)
    work = list(dict.fromkeys(map(str, packages)))
    in_rooms = list(dict.fromkeys(name for package in packages for name in rooms.get(package.pk, ())))
    notes = [
        *work, f"Rooms: {', '.join(in_rooms)}." if in_rooms else "", f"With {', '.join(others)}." if others else "",
        job.access_notes.strip(),
    ]
    return WantedEntry(
        key=f"person:{first.person_id}:{first.on}:{job.pk}",
        job_id=job.pk,
        person_id=first.person_id,
        starts_at=stretch.starts_at,
        ends_at=stretch.ends_at,
        summary=f"{job.name}: {'; '.join(work)}"[:MOST_SUMMARY_CHARACTERS],
        description="\n".join(line for line in notes if line),
        place=job.address_line[:MOST_PLACE_CHARACTERS],
    )


def _visits(plan: Plan, calendar: Calendar, zone: ZoneInfo) -> Iterator[WantedEntry]:
    """One entry for each unbroken stretch of each visit."""
    spans = list_visit_spans(plan, ATTENDED)
    awaiting = load_awaiting(span.visit for span in spans)
    for span in spans:
        parts = stretches(span_slot(span), calendar, zone)
        yield from _visit_entries(span, parts, awaits_go_ahead=span.visit_id in awaiting)


def _visit_entries(span: Span, parts: Iterable[Stretch], *, awaits_go_ahead: bool) -> Iterator[WantedEntry]:
    visit, is_agreed = span.visit, span.visit.state in (Visit.State.ACCEPTED, Visit.State.DONE)
    lines = [span_slot(span).words, STATE_WORDS[visit.state], GO_AHEAD_FOLLOWS if awaits_go_ahead else ""]
    for run, stretch in enumerate(parts, start=1):
        yield WantedEntry(
            key=f"visit:{visit.pk}:{run}",
            job_id=visit.job_id,
            visit_id=visit.pk,
            starts_at=stretch.starts_at,
            ends_at=stretch.ends_at,
            is_all_day=stretch.is_all_day,
            is_tentative=awaits_go_ahead or not is_agreed,
            summary=f"{visit}, {visit.job.name}"[:MOST_SUMMARY_CHARACTERS],
            description="\n".join(line for line in lines if line),
            place=visit.job.address_line[:MOST_PLACE_CHARACTERS],
        )

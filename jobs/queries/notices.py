"""What everyone was last told, against what a plan says now."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.core.telling import Telling, tell_days, tell_visit
from jobs.models import Booking, Contact, Firm, Notice, Person, Plan, Span, ToldDate, Visit
from jobs.queries.attendance import list_bookings, list_visit_spans, span_slot
from jobs.queries.hold_points import load_awaiting
from jobs.queries.told import load_told, told_slot

REMEMBERED = timedelta(days=21)
"""Crew are told of this week and the next, so older notices say nothing about days to come."""


TOLD_OF = (Visit.State.PENCILLED, Visit.State.ASKED, Visit.State.ACCEPTED, Visit.State.DECLINED)
"""States in which a visit's trade hears of its dates; one who declined a date hears of another."""


@dataclass
class Letter:
    """What one recipient is to be told."""

    recipient: Contact | Person
    tellings: list[Telling] = field(default_factory=list)
    told: list[tuple[Visit, Slot | None]] = field(default_factory=list)
    days: dict[str, str] = field(default_factory=dict)
    first_on: date | None = None
    """The first day they hear something about."""


def is_agreed_start(visit: Visit, slot: Slot) -> bool:
    """Whether the trade agreed to start just then, by phone or by suggesting it: they need not be asked again."""
    return visit.state == Visit.State.ACCEPTED and (visit.starts_on, visit.starts_half) == (slot.starts_on, slot.starts_half)


def visit_words(visit: Visit) -> str:
    """A visit as its trade knows it: what, and at which house."""
    return f"{visit}, {visit.job.name}"


def load_trade_letters(plan: Plan, previous: Plan | None, today: date) -> list[Letter]:
    """A letter for each contact who has something new to hear about visits to come."""
    letters: dict[int, Letter] = {}
    told, spans = load_told(plan.firm_id), _spans_to_tell(plan, today)
    awaiting, moved = load_awaiting(span.visit for span in spans), _moved_spans(spans, previous)
    for span in spans:
        visit, slot = span.visit, span_slot(span)
        telling = tell_visit(
            visit_words(visit),
            told_slot(told.get((visit.contact_id, visit.pk))),
            slot,
            cause=span.cause.get("kind", "") if span.pk in moved else "",
            awaits_go_ahead=visit.pk in awaiting,
            is_agreed=is_agreed_start(visit, slot),
        )
        _add(letters, visit.contact, visit, telling, slot, told_slot(told.get((visit.contact_id, visit.pk))))
    planned = {(span.visit.contact_id, span.visit_id) for span in spans}
    for key, row in told.items():
        if key not in planned and _is_off(row, today):
            was = told_slot(row)
            _add(letters, row.notice.contact, row.visit, tell_visit(visit_words(row.visit), was, None), None, was)
    return list(letters.values())


def load_crew_letters(plan: Plan, today: date, now: datetime) -> list[Letter]:
    """A letter for each of the crew whose days of this week and the next changed."""
    last = today + timedelta(days=13 - today.weekday())
    people, planned = _planned_days(plan, today, last)
    told = _told_days(plan.firm, today, last, now)
    people |= Person.objects.in_bulk([pk for pk in told if pk not in people])
    letters = (_crew_letter(people[pk], told[pk], planned[pk]) for pk in sorted(people))
    return [letter for letter in letters if letter.tellings]


def _crew_letter(person: Person, told: dict[date, str], planned: dict[date, str]) -> Letter:
    days = {day.isoformat(): planned.get(day, "") for day in sorted({*told, *planned})}
    changed = [day for day in sorted({*told, *planned}) if told.get(day, "") != planned.get(day, "")]
    return Letter(person, tellings=tell_days(told, planned), days=days, first_on=next(iter(changed), None))


def _spans_to_tell(plan: Plan, today: date) -> list[Span]:
    spans = list_visit_spans(plan, TOLD_OF)
    return [span for span in spans if span.visit.contact_id and span.ends_on >= today]


def _moved_spans(spans: Iterable[Span], previous: Plan | None) -> set[int]:
    """Spans that this plan moved: only then is their cause the reason for the new date."""
    before = {row.visit_id: span_slot(row) for row in previous.spans.filter(visit__isnull=False)} if previous else {}
    return {span.pk for span in spans if before.get(span.visit_id) != span_slot(span)}


def _add(
    letters: dict[int, Letter], contact: Contact, visit: Visit, telling: Telling | None, slot: Slot | None, was: Slot | None
) -> None:
    if telling:
        letter = letters.setdefault(contact.pk, Letter(contact))
        days = [letter.first_on, *(each.starts_on for each in (slot, was) if each)]
        letter.first_on = min(day for day in days if day)
        letter.tellings.append(telling)
        letter.told.append((visit, slot))


def _is_off(row: ToldDate, today: date) -> bool:
    """Whether a told visit that the plan lacks will not take place: it is not over, and not simply under way."""
    is_settled = row.visit.state == Visit.State.DONE or row.answer in (
        ToldDate.Answer.DECLINED, ToldDate.Answer.SUGGESTED
    )
    if is_settled or row.starts_on is None or row.ends_on < today:
        return False
    is_theirs = row.visit.contact_id == row.notice.contact_id and row.visit.state != Visit.State.CANCELLED
    return row.starts_on >= today or not is_theirs


def _planned_days(plan: Plan, first: date, last: date) -> tuple[dict[int, Person], dict[int, dict[date, str]]]:
    by_day: dict[tuple[int, date], list[Booking]] = defaultdict(list)
    people: dict[int, Person] = {}
    for booking in list_bookings(plan, first, last):
        people[booking.person_id] = booking.person
        by_day[booking.person_id, booking.on].append(booking)
    planned: dict[int, dict[date, str]] = defaultdict(dict)
    for (person_pk, on), bookings in by_day.items():
        planned[person_pk][on] = _day_words(bookings)
    return people, planned


def _day_words(bookings: list[Booking]) -> str:
    """Where somebody works on a day: one place, or the morning's and the afternoon's."""
    halves = {half: _place_words([booking for booking in bookings if booking.half == half]) for half in Half}
    morning, afternoon = halves[Half.MORNING], halves[Half.AFTERNOON]
    if morning == afternoon:
        return morning
    return "; ".join(f"{half.label} {words}" for half, words in halves.items() if words)


def _place_words(bookings: list[Booking]) -> str:
    return ", ".join(dict.fromkeys(f"{booking.package.job.name} ({booking.package})" for booking in bookings))


def _told_days(firm: Firm, first: date, last: date, now: datetime) -> dict[int, dict[date, str]]:
    told: dict[int, dict[date, str]] = defaultdict(dict)
    notices = Notice.objects.filter(firm=firm, person__isnull=False, made_at__gte=now - REMEMBERED)
    for person_pk, days in notices.order_by("made_at", "pk").values_list("person_id", "days"):
        for day, words in days.items():
            if first <= date.fromisoformat(day) <= last:
                told[person_pk][date.fromisoformat(day)] = words
    return told

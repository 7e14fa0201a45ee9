"""Holiday and college calendars of the crew: read, looked at, taken in, read again every day, given up."""

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from functools import partial
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs.actions.fetching import FetchError, fetch
from jobs.actions.people import note_away_changed
from jobs.actions.permission import Refused, require_office
from jobs.calendars.busy import Busy, UnreadableCalendarError, Window, read_busy
from jobs.core.away import AwayHalf, away_stretches
from jobs.core.stages import Half
from jobs.models import Absence, AbsenceSource, Firm, Part, Person, User
from jobs.outbox import enqueue
from jobs.queries.absence_sources import busy_halves
from jobs.queries.firm_calendar import load_calendar, local_today

DAYS_AHEAD = timedelta(days=548)
"""As far as a plan or a subscribed calendar looks."""

LOOKED_AT_FOR = timedelta(days=2)

Fetch = Callable[[str], bytes]


def keep_source(
    *, person: Person, name: str, kind: str, by: User, now: datetime, raw: bytes = b"", address: str = "",
    fetched_with: Fetch = fetch,
) -> AbsenceSource:
    """Read a calendar, from its bytes or its address, to be looked at; nobody is away by it yet."""
    require_office(by, person)
    if AbsenceSource.objects.filter(person=person, name=name).exclude(accepted_at=None).exists():
        raise Refused(f"{person} has a calendar “{name}” already. Remove that one first, or use another name.", field="name")
    field = "calendar_address" if address else "calendar_file"
    window = _window(person.firm, now)
    busy = _read(lambda: fetched_with(address) if address else raw, window, field)
    return AbsenceSource.objects.create(
        firm_id=person.firm_id, person=person, name=name, kind=kind, address=address, busy=_stored(busy.halves),
        fault=_unread(busy), read_at=now, read_until=window.last_on, made_by=by, made_at=now,
    )


@transaction.atomic
def accept_source(*, source: AbsenceSource, by: User, now: datetime) -> AbsenceSource:
    """What was read counts from now on, for the planner too."""
    require_office(by, source)
    held = AbsenceSource.objects.select_for_update().get(pk=source.pk)
    if held.accepted_at:
        raise Refused("This calendar counts already.")
    held.accepted_at = now
    held.save(update_fields=["accepted_at"])
    _write_absences(held)
    note_away_changed(held.person_id, now)
    return held


@transaction.atomic
def remove_source(*, source: AbsenceSource, by: User, now: datetime) -> None:
    """The calendar and every absence read from it go; what somebody typed stays."""
    require_office(by, source)
    if source.accepted_at:
        note_away_changed(source.person_id, now)
    source.delete()


@transaction.atomic
def ask_to_read_again(*, now: datetime) -> None:
    """Once a day and calendar. Those that were looked at and left lying are forgotten."""
    AbsenceSource.objects.filter(accepted_at=None, made_at__lt=now - LOOKED_AT_FOR).delete()
    for source in AbsenceSource.objects.exclude(address="").exclude(accepted_at=None).select_related("firm"):
        enqueue(
            key=f"read-absences:{source.pk}:{now:%Y-%m-%d}", task="read_absences", payload={"source_pk": source.pk},
            due_at=now, firm=source.firm,
        )


def read_again(*, source_pk: int, now: datetime, fetched_with: Fetch = fetch) -> Callable[[], None] | None:
    """Read an accepted calendar again; the answer writes what changed. What was read before stays if it fails."""
    source = AbsenceSource.objects.select_related("firm").filter(pk=source_pk).first()
    if source is None:
        return None
    window = _window(source.firm, now)
    try:
        busy = _read(lambda: fetched_with(source.address), window, "calendar_address")
    except Refused as refused:
        return partial(_note_fault, source_pk, refused.message, now)
    return partial(_take_in, source_pk, busy, window, now)


def _read(get: Callable[[], bytes], window: Window, field: str) -> Busy:
    try:
        return read_busy(get(), window)
    except (FetchError, UnreadableCalendarError) as wrong:
        raise Refused(str(wrong), field=field) from wrong


def _window(firm: Firm, now: datetime) -> Window:
    today = local_today(firm, now)
    morning, afternoon = (firm.morning_starts, firm.morning_ends), (firm.afternoon_starts, firm.afternoon_ends)
    return Window(today, today + DAYS_AHEAD, ZoneInfo(firm.zone), morning, afternoon)


def _note_fault(source_pk: int, fault: str, now: datetime) -> None:
    AbsenceSource.objects.filter(pk=source_pk).update(fault=fault[:300], failed_at=now)


def _take_in(source_pk: int, busy: Busy, window: Window, now: datetime) -> None:
    """What is over stays as it was read; a calendar that says the same as before changes nothing."""
    source = AbsenceSource.objects.select_for_update().filter(pk=source_pk).first()
    if source is None:
        return
    before = busy_halves(source)
    over = [half for half in before if half[0] < window.first_on]
    source.busy = _stored([*over, *busy.halves])
    source.read_at, source.read_until, source.fault, source.failed_at = now, window.last_on, _unread(busy), None
    source.save(update_fields=["busy", "read_at", "read_until", "fault", "failed_at"])
    if busy_halves(source) != before:
        source.absences.all().delete()
        _write_absences(source)
        note_away_changed(source.person_id, now)


def _write_absences(source: AbsenceSource) -> None:
    calendar = load_calendar(source.firm, local_today(source.firm, source.read_at))
    Absence.objects.bulk_create(
        Absence(
            firm_id=source.firm_id, person_id=source.person_id, source=source, kind=source.kind,
            starts_on=stretch.starts_on, ends_on=stretch.ends_on, part=stretch.half or Part.ALL_DAY,
        )
        for stretch in away_stretches(busy_halves(source))
        if any(calendar.is_working(day) for day in _days(stretch.starts_on, stretch.ends_on))
    )


def _days(first: date, last: date) -> Iterable[date]:
    return (first + timedelta(days=offset) for offset in range((last - first).days + 1))


def _stored(halves: Iterable[AwayHalf]) -> list[list[str]]:
    return [[on.isoformat(), Half(half).value] for on, half in halves]


def _unread(busy: Busy) -> str:
    if not busy.unread:
        return ""
    words = "1 entry" if busy.unread == 1 else f"{busy.unread} entries"
    return f"Left out, as it could not be understood: {words}."

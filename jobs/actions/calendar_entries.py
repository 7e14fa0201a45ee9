"""Calendar entries follow the issued plan. Each keeps its identity for life; what changes raises its sequence."""

from collections.abc import Iterable
from dataclasses import asdict
from datetime import datetime

from django.db import transaction
from django.db.models import F, QuerySet

from jobs.models import CalendarEntry, Firm, Plan, Visit
from jobs.queries.attendance import WantedEntry, load_wanted
from jobs.queries.deadlines import load_wanted_deadlines

SEQUENCED = ("starts_at", "ends_at", "is_all_day", "is_tentative", "is_gone")
"""A change of these makes readers take the event anew (RFC 5546 section 2.1.4)."""

SHOWN = (*SEQUENCED, "summary", "description", "place")
KEPT_UP = (*SHOWN, "sequence", "revised_at")


@transaction.atomic
def renew_entries(*, plan: Plan, now: datetime) -> int:
    """Bring the firm's calendar entries in line with an issued plan; how many changed.

    Entries the plan no longer asks for are gone, unless they are over: what took place stays.
    """
    Firm.objects.select_for_update().get(pk=plan.firm_id)
    known = CalendarEntry.objects.filter(firm_id=plan.firm_id, deadline="")
    return _bring_in_line(plan.firm_id, known, load_wanted(plan, now), now)


@transaction.atomic
def renew_deadlines(*, firm: Firm, now: datetime) -> int:
    """The same for the deadlines of the firm's jobs, which follow the issued plan and what the office dealt with."""
    Firm.objects.select_for_update().get(pk=firm.pk)
    known = CalendarEntry.objects.filter(firm=firm).exclude(deadline="")
    return _bring_in_line(firm.pk, known, load_wanted_deadlines(firm, now), now)


def show_anew(*, firm: Firm, visits: Iterable[Visit], now: datetime) -> None:
    """Let calendars take these visits anew, since their trade is shown another date than before although the plan stands."""
    entries = CalendarEntry.objects.filter(firm=firm, visit__in=[visit.pk for visit in visits])
    if entries.update(sequence=F("sequence") + 1, revised_at=now):
        read_anew(firm.pk)


def read_anew(firm_pk: int) -> None:
    """Let every calendar of a firm be fetched whole the next time."""
    Firm.objects.filter(pk=firm_pk).update(calendar_version=F("calendar_version") + 1)


def _bring_in_line(firm_pk: int, entries: QuerySet[CalendarEntry], asked: Iterable[WantedEntry], now: datetime) -> int:
    known, wanted = {entry.key: entry for entry in entries}, {entry.key: entry for entry in asked}
    rows = [_row(entry, known.get(key), firm_pk, now) for key, entry in wanted.items()]
    changed = [row for row in rows if row]
    dropped = [entry.pk for key, entry in known.items() if key not in wanted and _is_to_come(entry, now)]
    _write(changed)
    _drop(dropped, now)
    if changed or dropped:
        read_anew(firm_pk)
    return len(changed) + len(dropped)


def _row(wanted: WantedEntry, known: CalendarEntry | None, firm_pk: int, now: datetime) -> CalendarEntry | None:
    """The entry as wanted, or None when it stands so already."""
    row = CalendarEntry(firm_id=firm_pk, revised_at=now, **asdict(wanted))
    if known is None:
        return row
    row.sequence = known.sequence + 1 if _differ(row, known, SEQUENCED) else known.sequence
    return row if _differ(row, known, SHOWN) else None


def _is_to_come(known: CalendarEntry, now: datetime) -> bool:
    return not known.is_gone and known.ends_at > now


def _differ(row: CalendarEntry, known: CalendarEntry, names: tuple[str, ...]) -> bool:
    return any(getattr(row, name) != getattr(known, name) for name in names)


def _write(changed: list[CalendarEntry]) -> None:
    CalendarEntry.objects.bulk_create(
        changed, update_conflicts=True, unique_fields=["firm", "key"], update_fields=KEPT_UP
    )


def _drop(pks: list[int], now: datetime) -> None:
    dropped = CalendarEntry.objects.filter(pk__in=pks)
    dropped.update(is_gone=True, revised_at=now, sequence=F("sequence") + 1)

"""When a job's packages and visits are: by a plan, by ticks once work has begun, by what a trade agreed to."""

from collections.abc import Iterable
from datetime import date, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.core.workdays import Calendar, sessions_between
from jobs.models import Job, Plan, Span, Visit
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.progress import Progress

GONE_STATES = (Visit.State.CANCELLED, Visit.State.DECLINED)
REST_DAYS = 21
"""More days without a session in a row than any calendar has, so that a visit's end is always found."""


class JobSpans:
    """Where one plan puts the packages and visits of one job; empty without a plan."""

    def __init__(self, job: Job, plan: Plan | None) -> None:
        rows = [*plan.spans.filter(package__job=job), *plan.spans.filter(visit__job=job)] if plan else []
        self.packages = {row.package_id: row for row in rows if row.package_id}
        self.visits = {row.visit_id: row for row in rows if row.visit_id}


def span_slot(span: Span) -> Slot:
    return Slot(span.starts_on, Half(span.starts_half), span.ends_on, Half(span.ends_half))


def package_slot(span: Span | None, progress: Progress, zone: ZoneInfo) -> Slot | None:
    """From the first tick on, where there is one; to the last tick once all is done, else to the plan's end."""
    planned = span_slot(span) if span else None
    if progress.first_at is None or progress.last_at is None:
        return planned
    first_on, last_on = (moment.astimezone(zone).date() for moment in (progress.first_at, progress.last_at))
    if planned is None or progress.is_done:
        return Slot(first_on, Half.MORNING, last_on, Half.AFTERNOON)
    if planned.starts_on <= first_on:
        return planned
    return Slot(first_on, Half.MORNING, planned.ends_on, planned.ends_half)


def visit_slots(job: Job, visits: Iterable[Visit], spans: JobSpans, today: date) -> dict[int, Slot]:
    """Visit pk → its days in the plan, or the days it was asked, agreed or worked where the plan has it not."""
    found = {pk: span_slot(span) for pk, span in spans.visits.items()}
    dated = [visit for visit in visits if visit.pk not in found and visit.starts_on]
    if dated:
        calendar = load_calendar(job.firm, today)
        found |= {visit.pk: _own_slot(visit, calendar) for visit in dated}
    return found


def _own_slot(visit: Visit, calendar: Calendar) -> Slot:
    """As many working half days as the visit takes, from its own start."""
    halves, start = ceil(visit.length_days * 2), Half(visit.starts_half)
    last_on = visit.starts_on + timedelta(days=2 * halves + REST_DAYS)
    sessions = sessions_between(calendar, visit.starts_on, last_on)
    end = sessions[min(sessions.first_on_or_after(visit.starts_on, start) + halves, len(sessions)) - 1]
    return Slot(visit.starts_on, start, max(end.on, visit.starts_on), end.half)

"""Deadlines from outside: of one job, of the firm's week, and as calendar entries."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Max, Min

from jobs.core import deadlines as core
from jobs.core.stages import Trade
from jobs.models import DeadlineMark, Firm, Job, Plan, RoomTask, Span, Visit
from jobs.queries.attendance import MOST_PLACE_CHARACTERS, MOST_SUMMARY_CHARACTERS, WantedEntry
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.plans import find_draft, find_issued

DATED_STATES = (Job.State.BOOKED, Job.State.ON_SITE, Job.State.HANDED_OVER)
FORGOTTEN_AFTER = timedelta(days=180)
"""A job handed over longer ago has no deadline that anybody could still meet."""
UNASKED = (Visit.State.PENCILLED, Visit.State.ASKED)
WEEK_LOOKS_AHEAD = timedelta(days=14)


@dataclass(frozen=True)
class DeadlineRow:
    """`mark`: who said last that it is dealt with, or is not; `is_firm` once the day it hangs on has come."""

    job: Job
    deadline: core.Deadline
    mark: DeadlineMark | None
    today: date
    is_firm: bool

    @property
    def is_done(self) -> bool:
        return self.mark is not None and self.mark.is_done

    @property
    def is_overdue(self) -> bool:
        return not self.is_done and self.deadline.due_on < self.today

    @property
    def is_near(self) -> bool:
        return not self.is_done and self.deadline.due_on <= self.today + timedelta(days=7)


def load_job_deadlines(job: Job, now: datetime) -> list[DeadlineRow]:
    """Earliest first, those dealt with too."""
    return _rows(job.firm, [job], now) if job.state in DATED_STATES else []


def list_open_deadlines(firm: Firm, now: datetime) -> list[DeadlineRow]:
    """What is still to be dealt with on every job, earliest first."""
    since = local_today(firm, now) - FORGOTTEN_AFTER
    jobs = Job.objects.filter(firm=firm, state__in=DATED_STATES).exclude(finished_on__lt=since)
    rows = [row for row in _rows(firm, list(jobs), now) if not row.is_done]
    return sorted(rows, key=lambda row: (row.deadline.due_on, row.job.name))


def list_week_deadlines(firm: Firm, monday: date, now: datetime) -> list[DeadlineRow]:
    """What is overdue, or due in the week from `monday` on or the one after; nothing for weeks gone by."""
    if monday + timedelta(days=7) <= local_today(firm, now):
        return []
    return [row for row in list_open_deadlines(firm, now) if row.deadline.due_on < monday + WEEK_LOOKS_AHEAD]


def load_wanted_deadlines(firm: Firm, now: datetime) -> list[WantedEntry]:
    """An all-day entry on the last day for each open deadline."""
    zone = ZoneInfo(firm.zone)
    return [_entry(row, zone) for row in list_open_deadlines(firm, now)]


def _entry(row: DeadlineRow, zone: ZoneInfo) -> WantedEntry:
    deadline, rule = row.deadline, row.deadline.rule
    midnight = datetime.combine(deadline.due_on, time(0), zone)
    return WantedEntry(
        key=f"deadline:{row.job.pk}:{deadline.kind}",
        job_id=row.job.pk,
        deadline=deadline.kind.value,
        starts_at=midnight,
        ends_at=datetime.combine(deadline.due_on + timedelta(days=1), time(0), zone),
        is_all_day=True,
        is_tentative=not row.is_firm,
        summary=f"Last day: {deadline.kind.label}, {row.job.name}"[:MOST_SUMMARY_CHARACTERS],
        description="\n".join([rule.words, f"Source: {rule.source}. {rule.mark}", core.CAUTION]),
        place=row.job.address_line[:MOST_PLACE_CHARACTERS],
    )


def _rows(firm: Firm, jobs: list[Job], now: datetime) -> list[DeadlineRow]:
    today = local_today(firm, now)
    calendar, dates, marks = load_calendar(firm, today), _Dates(firm, jobs), _marks(jobs)
    return [
        DeadlineRow(job, each, marks.get((job.pk, each.kind)), today, _is_firm(job, each.kind))
        for job in jobs
        for each in core.deadlines_of(dates.of(job), calendar)
    ]


AFTER_COMPLETION = (core.Kind.COMPLETION_NOTICE, core.Kind.CERTIFICATE)


def _is_firm(job: Job, kind: core.Kind) -> bool:
    """Whether the plan can no longer move it."""
    return job.finished_on is not None or (job.state == Job.State.ON_SITE and kind not in AFTER_COMPLETION)


def _marks(jobs: list[Job]) -> dict[tuple[int, str], DeadlineMark]:
    """The newest of each kind."""
    rows = DeadlineMark.objects.filter(job__in=jobs).select_related("made_by__person").order_by("pk")
    return {(row.job_id, row.kind): row for row in rows}


class _Dates:
    """The days the deadlines of some jobs hang on: by ticks where work has begun, else by the plan people hold."""

    def __init__(self, firm: Firm, jobs: list[Job]) -> None:
        self._firm, self._zone = firm, ZoneInfo(firm.zone)
        plan = find_issued(firm) or find_draft(firm)
        self._starts, self._ends = _package_days(plan, jobs)
        ticked = RoomTask.objects.filter(package__job__in=jobs, done_at__isnull=False).order_by()
        self._begun = dict(ticked.values_list("package__job_id").annotate(first=Min("done_at")))
        self._isolators = _isolators(plan, jobs)

    def of(self, job: Job) -> core.JobDates:
        isolator_on, lead_days = self._isolators.get(job.pk, (None, core.OPERATOR_LEAD_DAYS))
        return core.JobDates(
            route=core.Route(job.notice_route),
            region=self._firm.holiday_region,
            has_licensed_asbestos=job.has_licensed_asbestos,
            starts_on=self._start(job),
            finishes_on=job.finished_on or self._ends.get(job.pk),
            isolator_on=isolator_on,
            operator_lead_days=lead_days,
        )

    def _start(self, job: Job) -> date | None:
        begun = self._begun.get(job.pk)
        known = [self._starts.get(job.pk), begun and begun.astimezone(self._zone).date()]
        return min(filter(None, known), default=job.earliest_start_on)


def _package_days(plan: Plan | None, jobs: list[Job]) -> tuple[dict[int, date], dict[int, date]]:
    spans = Span.objects.filter(plan=plan, package__job__in=jobs).order_by() if plan else Span.objects.none()
    rows = spans.values_list("package__job_id").annotate(first=Min("starts_on"), last=Max("ends_on"))
    found = list(rows)
    return {job: first for job, first, _ in found}, {job: last for job, _, last in found}


def _isolators(plan: Plan | None, jobs: Iterable[Job]) -> dict[int, tuple[date, int]]:
    """Job pk → (day, lead in days) of the network operator's visit, while nobody has agreed to it."""
    visits = Visit.objects.filter(job__in=jobs, kind__trade=Trade.NETWORK_OPERATOR, state__in=UNASKED).select_related("kind")
    planned = dict(Span.objects.filter(plan=plan, visit__in=visits).values_list("visit_id", "starts_on")) if plan else {}
    found = ((visit, planned.get(visit.pk, visit.starts_on)) for visit in visits)
    return {visit.job_id: (on, visit.kind.lead_days or core.OPERATOR_LEAD_DAYS) for visit, on in found if on}

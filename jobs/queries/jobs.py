"""The firm's jobs as the job list shows them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Min, QuerySet

from jobs.core.stages import Trade
from jobs.models import Area, Booking, Contact, DryingRule, Firm, Job, Plan, RoomTask, Span, Visit
from jobs.queries.progress import Progress, load_progress, total

CURRENT_STATES = (Job.State.SURVEYED, Job.State.BOOKED, Job.State.ON_SITE)


@dataclass(frozen=True)
class AreaProgress:
    area: Area
    progress: Progress


@dataclass(frozen=True)
class JobCard:
    """A job with how far each area is, and its next dates in a plan (None where there are none)."""

    job: Job
    areas: tuple[AreaProgress, ...]
    next_booked_on: date | None
    ends_on: date | None
    next_visit: Visit | None
    next_visit_on: date | None

    @property
    def progress(self) -> Progress:
        return total(area.progress for area in self.areas)

    @property
    def is_late(self) -> bool:
        """Whether the plan ends after the promised finish."""
        promised = self.job.promised_finish_on
        return bool(promised and self.ends_on and self.ends_on > promised)


def list_job_cards(firm: Firm, plan: Plan | None, today: date, *, are_current: bool = True) -> list[JobCard]:
    """Jobs being surveyed, booked or on site, or else those handed over or dropped; six queries at any size."""
    jobs = list(_jobs(firm, are_current))
    areas = _areas(jobs)
    booked = _by_job(Booking.objects.filter(plan=plan, on__gte=today), "package__job_id", Min("on"))
    ends = _by_job(Span.objects.filter(plan=plan, package__isnull=False), "package__job_id", Max("ends_on"))
    visits = _next_visits(plan, today)
    return [
        JobCard(
            job, tuple(areas[job.pk]), booked.get(job.pk), ends.get(job.pk), *visits.get(job.pk, (None, None))
        )
        for job in jobs
    ]


def count_past_jobs(firm: Firm) -> int:
    return Job.objects.filter(firm=firm).exclude(state__in=CURRENT_STATES).count()


def list_customers(firm: Firm) -> QuerySet[Contact]:
    return Contact.objects.filter(firm=firm, trade=Trade.CUSTOMER)


def list_drying_rules(firm: Firm) -> QuerySet[DryingRule]:
    return DryingRule.objects.filter(firm=firm)


def _jobs(firm: Firm, are_current: bool) -> Iterable[Job]:
    rows = Job.objects.filter(firm=firm).select_related("customer")
    rows = rows.filter(state__in=CURRENT_STATES) if are_current else rows.exclude(state__in=CURRENT_STATES)
    order = (Job.State.ON_SITE, Job.State.BOOKED, Job.State.SURVEYED, Job.State.HANDED_OVER, Job.State.DROPPED)
    return sorted(rows, key=lambda job: (order.index(Job.State(job.state)), job.name.casefold()))


def _areas(jobs: Iterable[Job]) -> dict[int, list[AreaProgress]]:
    progress = load_progress(RoomTask.objects.filter(package__job__in=jobs), "package__area_id")
    found: dict[int, list[AreaProgress]] = defaultdict(list)
    for area in Area.objects.filter(job__in=jobs):
        found[area.job_id].append(AreaProgress(area, progress.get((area.pk,), Progress())))
    return found


def _by_job(rows: QuerySet, key: str, value: Min | Max) -> dict[int, date]:
    return dict(rows.order_by().values_list(key).annotate(value=value).values_list(key, "value"))


def _next_visits(plan: Plan | None, today: date) -> dict[int, tuple[Visit, date]]:
    spans = Span.objects.filter(plan=plan, visit__isnull=False, starts_on__gte=today)
    spans = spans.exclude(visit__state__in=(Visit.State.CANCELLED, Visit.State.DECLINED))
    found: dict[int, tuple[Visit, date]] = {}
    for span in spans.select_related("visit__kind", "visit__area").order_by("starts_on", "starts_half", "pk"):
        found.setdefault(span.visit.job_id, (span.visit, span.starts_on))
    return found

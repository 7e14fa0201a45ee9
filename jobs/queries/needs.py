"""What planned jobs still need of each item, and when their plan takes it."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet, Sum
from django.db.models.functions import Coalesce

from jobs.core.needs import Need, left_to_take
from jobs.core.netting import Requirement
from jobs.core.stages import Half, Stage
from jobs.models import Firm, Job, Location, MaterialNeed, Plan, Span, StockMove, WorkPackage

NEEDING_STATES = (Job.State.BOOKED, Job.State.ON_SITE)
STAGE_ORDER = list(Stage)


@dataclass(frozen=True)
class Needs:
    """`requirements` in the order of the plan; `packages` by pk, with job and area."""

    requirements: tuple[Requirement, ...]
    packages: dict[int, WorkPackage]

    def of_job(self, job: Job) -> list[Requirement]:
        return [requirement for requirement in self.requirements if requirement.job == job.pk]


def load_needs(firm: Firm, plan: Plan | None, job: Job | None = None, *, until: date | None = None) -> Needs:
    """What unfinished packages still take, in a fixed number of queries.

    Of all booked jobs and those on site; or of one job, in whatever state it is. Dates are the starts in `plan`; with
    `until`, only of packages that start by that day.
    """
    wanted = MaterialNeed.objects.filter(firm=firm, package__finished_at=None)
    wanted = wanted.filter(package__job=job) if job else wanted.filter(package__job__state__in=NEEDING_STATES)
    if until:
        wanted = wanted.filter(package__in=_starts(plan).filter(starts_on__lte=until).order_by().values("package"))
    rows = list(wanted.order_by("pk").values_list("package_id", "item_id", "quantity"))
    found = WorkPackage.objects.select_related("job", "area").filter(pk__in={package for package, _, _ in rows})
    packages, starts = {package.pk: package for package in found}, _load_starts(plan)
    order = {pk: _plan_order(package, starts) for pk, package in packages.items()}
    rows.sort(key=lambda row: order[row[0]])
    needs = [Need(package, packages[package].job_id, item, quantity) for package, item, quantity in rows]
    left = left_to_take(needs, *_load_used(firm, {package.job_id for package in packages.values()}))
    return Needs(tuple(_requirement(need, left, starts) for need in needs if (need.package, need.item) in left), packages)


def _requirement(need: Need, left: dict[tuple[int, int], Decimal], starts: dict[int, tuple[date, Half]]) -> Requirement:
    on, half = starts.get(need.package, (None, Half.MORNING))
    return Requirement(need.package, need.item, left[need.package, need.item], on, half, need.job)


def _load_starts(plan: Plan | None) -> dict[int, tuple[date, Half]]:
    starts = _starts(plan).values_list("package_id", "starts_on", "starts_half")
    return {package: (on, Half(half)) for package, on, half in starts}


def _starts(plan: Plan | None) -> QuerySet[Span]:
    return Span.objects.filter(plan=plan, package__isnull=False) if plan else Span.objects.none()


def find_last_need(job: Job, plan: Plan | None) -> date | None:
    """The day by which every unfinished package of the job has begun; None when `plan` lacks one of them."""
    packages = WorkPackage.objects.filter(job=job, finished_at=None).values_list("pk", flat=True)
    starts = dict(_starts(plan).filter(package__job=job).values_list("package_id", "starts_on"))
    return max((starts[pk] for pk in packages), default=None) if set(packages) <= set(starts) else None


def _plan_order(package: WorkPackage, starts: dict[int, tuple[date, Half]]) -> tuple:
    on, half = starts.get(package.pk, (date.max, Half.MORNING))
    return on, half == Half.AFTERNOON, STAGE_ORDER.index(Stage(package.stage)), package.pk


Used = dict[tuple[int, int], Decimal]


def _load_used(firm: Firm, jobs: Collection[int]) -> tuple[Used, Used]:
    """What is fitted in some jobs by (package, item) where a tick took it, and by (job, item) where somebody just said so."""
    by_package, by_job = defaultdict(Decimal), defaultdict(Decimal)
    places = Location.objects.filter(firm=firm, kind=Location.Kind.FITTED, job__in=jobs)
    job_of = dict(places.values_list("pk", "job_id"))
    for place, sign in (("moved_to_id", 1), ("moved_from_id", -1)):
        for spot, package, item, total in _sums(place, job_of):
            key = (by_package, (package, item)) if package else (by_job, (job_of[spot], item))
            key[0][key[1]] += sign * total
    return dict(by_package), dict(by_job)


def _sums(place: str, places: Collection[int]) -> QuerySet:
    """By place alone: a firm's moves are too many to look through."""
    moves = StockMove.objects.filter(**{f"{place}__in": list(places)}).order_by()
    return moves.values_list(place, "task__package", "item").annotate(total=Sum(Coalesce("pieces", "cable_metres")))

"""Finished packages and the hours they took: the one place that says what counts as time worked.

A person's time on a package on a day is what they said; where they said nothing, what the plan in force that day had
them booked for. Hours count as an electrician's: a person's own times their productivity.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.core.stages import Half
from jobs.models import Booking, Firm, Plan, RoomTask, WorkedHours, WorkPackage
from jobs.queries.progress import Progress, load_progress

PersonDay = tuple[int, int, date]
"""Package, person, day."""


@dataclass(frozen=True)
class Finished:
    """A finished package with the electrician hours it took; `said_share` of them was said, the rest only booked."""

    package: WorkPackage
    done_at: datetime
    actual_hours: float
    said_share: float


def load_finished(firm: Firm, *, only_said: bool = False) -> list[Finished]:
    """Packages that are done and took some time, in the order they were done. `only_said`: those with hours said."""
    packages = WorkPackage.objects.filter(firm=firm).select_related("job", "area")
    if only_said:
        packages = packages.filter(worked_hours__hours__gt=0).distinct()
    progress = load_progress(RoomTask.objects.filter(firm=firm, package__in=packages), "package_id")
    done = {row.pk: (row, at) for row in packages if (at := _done_at(row, progress.get((row.pk,), Progress())))}
    return sorted(_finished(firm, done), key=lambda one: (one.done_at, one.package.pk))


def _done_at(package: WorkPackage, progress: Progress) -> datetime | None:
    return package.finished_at or (progress.last_at if progress.is_done else None)


def _finished(firm: Firm, done: dict[int, tuple[WorkPackage, datetime]]) -> Iterator[Finished]:
    said, booked = _said(done), _booked(firm, done)
    hours: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for key in said.keys() | booked.keys():
        hours[key[0]][key in said] += said[key] if key in said else booked[key]
    for pk, (only_booked, by_people) in hours.items():
        if only_booked + by_people > 0:
            package, done_at = done[pk]
            yield Finished(package, done_at, only_booked + by_people, by_people / (only_booked + by_people))


def _said(packages: Collection[int]) -> dict[PersonDay, float]:
    rows = WorkedHours.objects.filter(package__in=packages)
    return {
        (package, person, on): float(hours * productivity)
        for package, person, on, hours, productivity in rows.order_by().values_list(
            "package_id", "person_id", "on", "hours", "person__productivity"
        )
    }


def _booked(firm: Firm, done: dict[int, tuple[WorkPackage, datetime]]) -> dict[PersonDay, float]:
    """Hours booked in the plan that was in force when the session began, up to the day the package was done."""
    plans, zone = _Plans(firm), ZoneInfo(firm.zone)
    rows = Booking.objects.filter(firm=firm, package__in=done).exclude(plan__state=Plan.State.DRAFT)
    hours: dict[PersonDay, float] = defaultdict(float)
    for plan, package, person, on, half, booked, productivity in rows.order_by().values_list(
        "plan_id", "package_id", "person_id", "on", "half", "hours", "person__productivity"
    ):
        if on <= done[package][1].astimezone(zone).date() and plans.in_force(on, half) == plan:
            hours[package, person, on] += float(booked * productivity)
    return hours


class _Plans:
    """Which issued plan people held at the start of a session."""

    def __init__(self, firm: Firm) -> None:
        self._firm, self._zone = firm, ZoneInfo(firm.zone)
        issued = Plan.objects.filter(firm=firm, issued_at__isnull=False).order_by("issued_at", "pk")
        self._issued = list(issued.values_list("issued_at", "pk"))

    def in_force(self, on: date, half: str) -> int | None:
        starts = self._firm.morning_starts if half == Half.MORNING else self._firm.afternoon_starts
        at = bisect_left(self._issued, (datetime.combine(on, starts, self._zone),))
        return self._issued[at - 1][1] if at else None

"""Hours people said they worked, by package and day."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.models import Job, Person, WorkedHours, WorkPackage


@dataclass(frozen=True)
class WorkedRow:
    """A package with the hours worked on it, the newest day first."""

    package: WorkPackage
    entries: tuple[WorkedHours, ...]

    @property
    def hours(self) -> Decimal:
        return sum((entry.hours for entry in self.entries), Decimal(0))


def load_worked(job: Job) -> list[WorkedRow]:
    """Packages somebody worked on, in the order of the job."""
    by_package: dict[int, list[WorkedHours]] = defaultdict(list)
    for entry in WorkedHours.objects.filter(package__job=job, hours__gt=0).select_related("person"):
        by_package[entry.package_id].append(entry)
    packages = WorkPackage.objects.filter(pk__in=by_package).select_related("area")
    return [WorkedRow(package, tuple(by_package[package.pk])) for package in packages]


def load_hours_said(person: Person | None, on: date) -> dict[int, Decimal]:
    """Package pk → hours the person said for a day."""
    rows = WorkedHours.objects.filter(person=person, on=on) if person else WorkedHours.objects.none()
    return dict(rows.values_list("package_id", "hours"))

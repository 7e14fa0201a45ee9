"""Progress in the hours the contractor counts with: of lines already loaded, and of whole houses."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.models import Job, Room, RoomTask, WorkPackage
from jobs.queries.progress import Progress, load_progress


@dataclass(frozen=True)
class Place:
    """A room in a package, and how far its lines there have come."""

    package: WorkPackage
    room: Room
    progress: Progress


def load_places(job: Job) -> list[Place]:
    """Every room of the job in every package it has lines in, as the house is walked; three queries."""
    packages = {row.pk: row for row in WorkPackage.objects.filter(job=job).select_related("area", "job")}
    rooms = {row.pk: row for row in Room.objects.filter(job=job).select_related("area").order_by("area__position", "position")}
    order = {pk: number for number, pk in enumerate(rooms)}
    found = load_progress(RoomTask.objects.filter(package__job=job), "package_id", "room_id")
    places = [Place(packages[package], rooms[room], _scaled(part, packages[package])) for (package, room), part in found.items()]
    return sorted(places, key=lambda place: (order[place.room.pk], place.package.pk))


def _scaled(progress: Progress, package: WorkPackage) -> Progress:
    scale = _scale(package)
    return replace(progress, hours=progress.hours * scale, hours_done=progress.hours_done * scale)


def hours_of(task: RoomTask) -> Decimal:
    """A line's labour, scaled when the contractor corrected the package's hours. Needs `task.package` loaded."""
    return task.labour_hours * _scale(task.package)


def measure(tasks: Iterable[RoomTask]) -> Progress:
    """Progress of the lines still asked for. A line that is not needed here has `done_share` 1."""
    lines = [task for task in tasks if not task.is_withdrawn]
    return Progress(
        hours=sum(map(hours_of, lines), Decimal(0)),
        hours_done=sum((hours_of(task) * task.done_share for task in lines), Decimal(0)),
        lines=len(lines),
        lines_done=sum(task.is_done for task in lines),
    )


def _scale(package: WorkPackage) -> Decimal:
    if package.corrected_hours is None or not package.labour_hours:
        return Decimal(1)
    return package.corrected_hours / package.labour_hours

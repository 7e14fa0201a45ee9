"""The programme of a job, made and made again from its survey: packages, lines, needs, visits and waits."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.db import transaction
from django.db.models import F, Q

from jobs.actions.catalogue_versions import keep_version
from jobs.actions.permission import Refused, require_office
from jobs.actions.programme_lines import renew_line_materials, renew_lines, renew_needs
from jobs.actions.programme_visits import add_usual_visits
from jobs.actions.programme_waits import renew_waits
from jobs.core import takeoff
from jobs.core.checklists import Line, list_lines
from jobs.core.stages import WORKED_STAGES, FloorKind, Stage
from jobs.models import CatalogueVersion, Job, RoomTask, User, WorkPackage
from jobs.queries.snags import load_snag_lines
from jobs.queries.takeoff import list_materials, load_checks, load_house, load_job_catalogue

SAME_DAY_HOURS = Decimal(8)
"""Floors of an occupied house close the day they open where one electrician can do the package in a day."""


@dataclass(frozen=True)
class _Wanted:
    """What the survey and the catalogue ask for."""

    house: takeoff.HouseSurvey
    lines: list[Line]
    taken: list[takeoff.Material]

    @cached_property
    def hours(self) -> dict[tuple[int, Stage], Decimal]:
        return takeoff.sum_hours(self.lines)

    @cached_property
    def materials(self) -> dict[tuple[int, Stage, str], Decimal]:
        return takeoff.sum_materials(self.taken)

    @property
    def keys(self) -> list[tuple[int, Stage]]:
        """The packages with work, in the order of areas and stages."""
        keys = {(line.area, line.stage) for line in self.lines} | {(area, stage) for area, stage, _ in self.materials}
        areas = dict.fromkeys(room.area for room in self.house.rooms)
        return [(area, stage) for area in areas for stage in WORKED_STAGES if (area, stage) in keys]


@transaction.atomic
def make_programme(*, job: Job, by: User) -> None:
    """Make the programme of `job`, or bring it up to a survey that changed, by the recipes that the job keeps.

    Its first programme keeps today's. Ticks, corrected hours, limits, visits, and what a person decided about waits stay.
    Lines the survey no longer asks for are marked withdrawn.
    """
    require_office(by, job)
    job = Job.objects.select_for_update(of=("self",)).select_related("firm").get(pk=job.pk, firm_id=by.firm_id)
    _keep_recipes(job, by)
    wanted = _want(job)
    packages = _renew_packages(job, wanted)
    _follow_moved_rooms(job, packages)
    renew_lines(job, packages, wanted.lines)
    renew_needs(job, packages, wanted.materials)
    renew_line_materials(job, wanted.house, wanted.taken)
    _remove_idle(row for key, row in packages.items() if key not in wanted.keys)
    add_usual_visits(job, wanted.house)
    renew_waits(job)


@transaction.atomic
def take_off_again(*, job: Job, by: User) -> CatalogueVersion:
    """Let a job use today's recipes and hours from now on; its programme follows."""
    require_office(by, job)
    job = Job.objects.select_for_update(of=("self",)).select_related("firm").get(pk=job.pk, firm_id=by.firm_id)
    job.catalogue_version = None
    _keep_recipes(job, by)
    make_programme(job=job, by=by)
    return job.catalogue_version


def _keep_recipes(job: Job, by: User) -> None:
    if job.catalogue_version_id is None:
        job.catalogue_version = keep_version(firm=job.firm, by=by)
        job.save(update_fields=["catalogue_version"])


@transaction.atomic
def correct_hours(*, package: WorkPackage, labour_hours: Decimal | None, by: User) -> None:
    """Put the contractor's own figure in place of the take-off's; None goes back to the take-off."""
    require_office(by, package)
    if labour_hours is not None and not 0 <= labour_hours < 10_000:
        raise Refused("Hours are between 0 and 9,999. Leave the field empty to use the take-off.", field="labour_hours")
    package.corrected_hours = labour_hours
    package.save(update_fields=["corrected_hours"])


MOST_PEOPLE = 12
"""More than this do not fit into one area of a house (common practice, no source)."""


@transaction.atomic
def limit_package(
    *, package: WorkPackage, not_before_on: date | None, most_people: int, must_close_same_day: bool | None, by: User
) -> None:
    """Bound when and by how many a package is worked; `must_close_same_day` None goes back to the survey."""
    require_office(by, package)
    if not 1 <= most_people <= MOST_PEOPLE:
        raise Refused(f"Between 1 and {MOST_PEOPLE} people can work in one area.", field="most_people")
    package.not_before_on, package.most_people = not_before_on, most_people
    package.corrected_close_same_day = must_close_same_day
    package.save(update_fields=["not_before_on", "most_people", "corrected_close_same_day"])


def _want(job: Job) -> _Wanted:
    house = load_house(job)
    if not house.rooms:
        raise Refused("This job has no rooms yet. Add rooms and points to its survey, then make the programme.")
    catalogue = load_job_catalogue(job)
    tasks = takeoff.list_tasks(house, catalogue)
    if not tasks:
        raise Refused("The survey asks for no work. Add points to its rooms, or hours to the catalogue.")
    lines = list_lines(house, tasks, load_checks(job.firm)) + load_snag_lines(job, house)
    return _Wanted(house, lines, list_materials(house, catalogue))


def _renew_packages(job: Job, wanted: _Wanted) -> dict[tuple[int, Stage], WorkPackage]:
    """All packages of the job by area and stage; those without work stand at 0 hours."""
    _follow_moved_board(job, wanted.house)
    WorkPackage.objects.filter(job=job).update(labour_hours=0)
    WorkPackage.objects.bulk_create(
        [_package(job, area, stage, wanted) for area, stage in wanted.keys],
        update_conflicts=True,
        unique_fields=["area", "stage"],
        update_fields=["labour_hours", "has_boards_open", "must_close_same_day"],
    )
    rows = WorkPackage.objects.filter(job=job).select_related("area")
    return {(row.area_id, Stage(row.stage)): row for row in rows}


def _package(job: Job, area: int, stage: Stage, wanted: _Wanted) -> WorkPackage:
    hours = wanted.hours.get((area, stage), Decimal(0))
    has_timber = any(room.area == area and room.floor == FloorKind.TIMBER for room in wanted.house.rooms)
    opens_floors = has_timber and stage == Stage.FIRST_FIX
    return WorkPackage(
        firm=job.firm,
        job=job,
        area_id=area,
        stage=stage,
        labour_hours=hours,
        has_boards_open=opens_floors,
        must_close_same_day=opens_floors and job.is_occupied and hours <= SAME_DAY_HOURS,
    )


def _follow_moved_board(job: Job, house: takeoff.HouseSurvey) -> None:
    """The test package goes where the board is, with its ticks."""
    tests = WorkPackage.objects.filter(job=job, stage=Stage.TEST)
    if not tests.filter(area_id=house.board_room.area).exists():
        moved = tests.first()
        if moved:
            tests.filter(pk=moved.pk).update(area_id=house.board_room.area)


def _follow_moved_rooms(job: Job, packages: dict[tuple[int, Stage], WorkPackage]) -> None:
    """A room that changed its area takes its lines, with their ticks, to the new area's packages."""
    stray = RoomTask.objects.filter(package__job=job).exclude(package__stage=Stage.TEST)
    stray = stray.exclude(package__area=F("room__area"))
    for area, stage in set(stray.values_list("room__area", "package__stage")):
        if package := packages.get((area, Stage(stage))):
            stray.filter(room__area=area, package__stage=stage).update(package=package)


def _remove_idle(rows: Iterable[WorkPackage]) -> None:
    """Packages without work go, unless somebody has worked on them or was booked."""
    idle = WorkPackage.objects.filter(pk__in=[row.pk for row in rows])
    worked = Q(tasks__operations__isnull=False) | Q(tasks__done_share__gt=0) | Q(tasks__not_needed__gt="")
    planned = Q(bookings__isnull=False) | Q(spans__isnull=False) | Q(pins__isnull=False)
    held = set(idle.filter(worked | planned).values_list("pk", flat=True))
    idle.exclude(pk__in=held).delete()

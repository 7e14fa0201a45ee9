"""Finished work for tests: a surveyed room whose lines are ticked, and hours that people said."""

from datetime import date, datetime

from jobs.actions.programme import make_programme
from jobs.models import Firm, Job, Person, PointKind, RoomTask, WorkedHours, WorkPackage
from tests.factories import NOW, TODAY, make_area, make_job, make_office, make_person, make_point, make_room


def make_surveyed_job(firm: Firm, sockets: int = 10, **room: object) -> Job:
    """A booked house of one room with double sockets, its programme made."""
    job = make_job(firm, state=Job.State.BOOKED)
    surveyed = make_room(make_area(job), **room)
    kind = PointKind.objects.get(firm=firm, code="double-socket")
    for _ in range(sockets):
        make_point(surveyed, kind)
    make_programme(job=job, by=make_office(firm))
    return job


def finish(package: WorkPackage, at: datetime = NOW) -> None:
    RoomTask.objects.filter(package=package, is_withdrawn=False).update(done_share=1, done_at=at)


def say_hours(package: WorkPackage, person: Person, hours: float, on: date = TODAY) -> WorkedHours:
    return WorkedHours.objects.create(
        firm_id=package.firm_id, package=package, person=person, on=on, hours=hours, said_at=NOW
    )


def finish_in(job: Job, times: float, stage: str = "first_fix", at: datetime = NOW) -> WorkPackage:
    """Finish a job's package of a stage in so many times its estimate, said by a person of its own."""
    package = job.packages.get(stage=stage)
    finish(package, at)
    person, left = make_person(job.firm), float(package.labour_hours) * times
    for day in range(1, 29):
        if left > 0:
            say_hours(package, person, round(min(left, 8), 2), at.date().replace(day=day))
            left -= 8
    return package

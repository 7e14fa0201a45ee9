"""What a person on site needs today: jobs and rooms booked, who else is there, and what to beware of."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Q, QuerySet

from jobs.core.ages import is_under_18
from jobs.core.cautions import Caution, cautions_for
from jobs.models import Booking, Firm, Job, Person, Plan, Room, Span, User, Visit, WorkPackage
from jobs.queries.people import list_bookings
from jobs.queries.progress import Progress, total
from jobs.queries.site_progress import Place, load_places
from jobs.queries.worked_hours import load_hours_said

DAY_WORDS = {("am",): "morning", ("pm",): "afternoon", ("am", "pm"): "all day"}


@dataclass(frozen=True)
class RoomRow:
    """A room and how far its lines have come: at the stages worked on, or all of them."""

    room: Room
    progress: Progress


@dataclass(frozen=True)
class PackageRow:
    """A booked package: when, its rooms, and the hours its reader said for the day."""

    package: WorkPackage
    when: str
    rooms: list[RoomRow]
    progress: Progress
    hours_said: Decimal | None = None


@dataclass(frozen=True)
class Colleague:
    """Somebody of the own crew on the same job."""

    person: Person
    words: str
    is_under_18: bool


@dataclass(frozen=True)
class SiteJob:
    """One job on one day."""

    job: Job
    packages: list[PackageRow]
    other_rooms: list[RoomRow]
    colleagues: list[Colleague]
    visits: list[Visit]
    cautions: list[Caution]
    open_boards: list[str] = field(default_factory=list)


def load_day(user: User, on: date) -> list[SiteJob]:
    """The jobs of a day: those the person is booked on, or every booked one for somebody without a place on the crew."""
    bookings = list(list_bookings(user.firm, on))
    mine = [row for row in bookings if user.person_id in (None, row.person_id)]
    return [_load_job(user, on, job, mine, bookings) for job in dict.fromkeys(row.package.job for row in mine)]


def find_next_day(user: User, today: date) -> date | None:
    """The next day after `today` on which the person (or, in the office, anyone) is booked."""
    rows = Booking.objects.filter(firm=user.firm, plan__state=Plan.State.ISSUED, on__gt=today).order_by("on")
    if user.person_id:
        rows = rows.filter(person_id=user.person_id)
    return rows.values_list("on", flat=True).first()


def load_site_job(user: User, job: Job, on: date) -> SiteJob:
    """Any job of the firm as it looks from site, booked or not."""
    bookings = list(list_bookings(user.firm, on))
    mine = [row for row in bookings if user.person_id in (None, row.person_id)]
    return _load_job(user, on, job, mine, bookings)


def list_open_jobs(firm: Firm) -> QuerySet[Job]:
    """Jobs that somebody could be working on."""
    return Job.objects.filter(firm=firm, state__in=(Job.State.BOOKED, Job.State.ON_SITE)).exclude(packages=None)


def _load_job(user: User, on: date, job: Job, mine: list[Booking], bookings: list[Booking]) -> SiteJob:
    here = [row for row in bookings if row.package.job_id == job.pk]
    own = [row for row in mine if row.package.job_id == job.pk]
    places = load_places(job)
    packages = list(_package_rows(own, places, load_hours_said(user.person, on)))
    shown = {room.room.pk for row in packages for room in row.rooms}
    open_boards = _open_boards(places)
    return SiteJob(
        job=job,
        packages=packages,
        other_rooms=[room for room in _room_rows(places) if room.room.pk not in shown],
        colleagues=_colleagues(here, user, on),
        visits=list(_visits(job, on)),
        cautions=cautions_for(
            {row.package.stage for row in own or here}, boards_open=bool(open_boards),
            is_alone=len({row.person_id for row in here}) == 1,
            has_under_18=any(is_under_18(row.person.born_on, on) for row in here),
        ),
        open_boards=open_boards,
    )


def _package_rows(own: Iterable[Booking], places: list[Place], said: dict[int, Decimal]) -> Iterable[PackageRow]:
    halves: dict[WorkPackage, set[str]] = defaultdict(set)
    for row in own:
        halves[row.package].add(row.half)
    for package, when in sorted(halves.items(), key=lambda pair: (min(pair[1]), pair[0].pk)):
        inside = [place for place in places if place.package == package]
        progress = total(place.progress for place in inside)
        yield PackageRow(package, DAY_WORDS[tuple(sorted(when))], _room_rows(inside), progress, said.get(package.pk))


def _room_rows(places: Iterable[Place]) -> list[RoomRow]:
    by_room: dict[Room, list[Progress]] = defaultdict(list)
    for place in places:
        by_room[place.room].append(place.progress)
    return [RoomRow(room, total(parts)) for room, parts in by_room.items()]


def _colleagues(here: list[Booking], user: User, on: date) -> list[Colleague]:
    halves: dict[Person, set[str]] = defaultdict(set)
    places: dict[Person, dict[str, None]] = defaultdict(dict)
    for row in here:
        if row.person_id != user.person_id:
            halves[row.person].add(row.half)
            places[row.person][str(row.package)] = None
    return [
        Colleague(person, f"{DAY_WORDS[tuple(sorted(halves[person]))]}: {'; '.join(places[person])}",
                  is_under_18(person.born_on, on))
        for person in halves
    ]


def _visits(job: Job, on: date) -> QuerySet[Visit]:
    """Other trades in the house that day, as the issued plan has them."""
    spans = Span.objects.filter(plan__state=Plan.State.ISSUED, visit__job=job, starts_on__lte=on, ends_on__gte=on)
    rows = Visit.objects.filter(Q(spans__in=spans) | Q(state=Visit.State.ACCEPTED, starts_on=on), job=job).distinct()
    return rows.exclude(state=Visit.State.CANCELLED).select_related("kind", "area", "contact")


def _open_boards(places: Iterable[Place]) -> list[str]:
    """Areas whose floor is up: a package that opens boards is begun and not finished."""
    begun = {place.package: None for place in places if place.package.has_boards_open and place.progress.is_begun}
    return [package.area.name for package in begun if package.finished_at is None]

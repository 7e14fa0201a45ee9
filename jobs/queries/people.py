"""The crew: who they are, where they are today, which phones they use."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Count, Q, QuerySet

from jobs.core.ages import is_under_18
from jobs.core.stages import Half
from jobs.models import Absence, Booking, DayRelease, Device, Firm, Job, Part, Person, PersonChoice, Plan
from jobs.queries.sign_ins import may_come_in

READ_SHOWN_FOR = timedelta(weeks=6)
PART_OF_HALF = {Half.MORNING: (Part.ALL_DAY, Part.MORNING), Half.AFTERNOON: (Part.ALL_DAY, Part.AFTERNOON)}


@dataclass
class Whereabouts:
    """A person and where they are in each half of one day, in words ("" = not booked)."""

    person: Person
    is_under_18: bool
    device_count: int
    halves: dict[str, str] = field(default_factory=lambda: {half.value: "" for half in Half})

    @property
    def morning(self) -> str:
        return self.halves[Half.MORNING]

    @property
    def afternoon(self) -> str:
        return self.halves[Half.AFTERNOON]


def list_whereabouts(firm: Firm, today: date, now: datetime) -> list[Whereabouts]:
    """Everyone who works here, with their morning and afternoon as the issued plan and absences have them."""
    phones = Count("user__devices", filter=may_come_in(now, "user__devices__"))
    people = Person.objects.filter(firm=firm, is_active=True).annotate(device_count=phones)
    found = {row.pk: Whereabouts(row, is_under_18(row.born_on, today), row.device_count) for row in people}
    for person_id, half, words in (*_booked(firm, today), *_at_college(firm, today), *_away(firm, today)):
        if person_id in found:
            found[person_id].halves[half] = words
    return list(found.values())


def list_bookings(firm: Firm, on: date) -> QuerySet[Booking]:
    """What the issued plan books on a day."""
    rows = Booking.objects.filter(firm=firm, plan__state=Plan.State.ISSUED, on=on)
    return rows.select_related("person", "package__job", "package__area")


def list_devices(person: Person, now: datetime) -> QuerySet[Device]:
    """The phones that may come in as this person."""
    return Device.objects.filter(may_come_in(now), user__person=person)


def list_absences(person: Person, today: date) -> QuerySet[Absence]:
    """Absences that are not over; of those read from a calendar, only the next weeks'."""
    near = Q(source=None) | Q(starts_on__lte=today + READ_SHOWN_FOR)
    return person.absences.filter(near, ends_on__gte=today).select_related("source")


def count_later_absences(person: Person, today: date) -> int:
    """How many more were read from calendars."""
    return person.absences.filter(source__isnull=False, starts_on__gt=today + READ_SHOWN_FOR).count()


def list_choices(job: Job) -> QuerySet[PersonChoice]:
    """Who is wanted on a job, then who is kept off it."""
    return PersonChoice.objects.filter(job=job).select_related("person").order_by("is_excluded", "person__name")


def list_college_days(person: Person, today: date) -> QuerySet[DayRelease]:
    return person.day_releases.filter(ends_on__gte=today).order_by("weekday")


def _booked(firm: Firm, today: date) -> Iterable[tuple[int, str, str]]:
    places: dict[tuple[int, str], list[str]] = defaultdict(list)
    for row in list_bookings(firm, today):
        places[row.person_id, row.half].append(f"{row.package.job}: {row.package}")
    return [(person, half, "; ".join(words)) for (person, half), words in places.items()]


def _at_college(firm: Firm, today: date) -> Iterable[tuple[int, str, str]]:
    rows = DayRelease.objects.filter(firm=firm, weekday=today.weekday(), starts_on__lte=today, ends_on__gte=today)
    return [(row.person_id, half.value, "College") for row in rows for half in Half]


def _away(firm: Firm, today: date) -> Iterable[tuple[int, str, str]]:
    rows = Absence.objects.filter(firm=firm, starts_on__lte=today, ends_on__gte=today)
    return [
        (row.person_id, half.value, row.get_kind_display())
        for row in rows
        for half in Half
        if row.part in PART_OF_HALF[half]
    ]

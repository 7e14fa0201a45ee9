"""The crew's people, and when they are away."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from jobs.actions.calendar_entries import read_anew
from jobs.actions.locations import van_of
from jobs.actions.permission import Refused, require_office
from jobs.core.ages import is_under_18
from jobs.models import Absence, DayRelease, Device, Firm, Grade, Part, Person, Role, User
from jobs.models.person import WEEKDAYS


@transaction.atomic
def add_person(*, firm: Firm, details: Mapping[str, object], by: User, now: datetime) -> Person:
    """`details` are fields of Person."""
    require_office(by, firm)
    person = Person(firm=firm, **details)
    _check_person(person, timezone.localdate(now))
    person.save()
    van_of(person)
    return person


def edit_person(*, person: Person, details: Mapping[str, object], by: User, now: datetime) -> Person:
    """Change a person's details; someone who no longer works here is signed out of every phone."""
    require_office(by, person)
    for field, value in details.items():
        setattr(person, field, value)
    _check_person(person, timezone.localdate(now))
    with transaction.atomic():
        person.save()
        read_anew(person.firm_id)
        van_of(person)
        User.objects.filter(person=person, role=Role.CREW).update(is_active=person.is_active)
        if not person.is_active:
            Device.objects.filter(user__person=person, revoked_at=None).update(revoked_at=now)
    return person


@transaction.atomic
def add_absence(
    *, person: Person, kind: str, starts_on: date, ends_on: date, part: str = Part.ALL_DAY, note: str = "", by: User,
    now: datetime,
) -> Absence:
    require_office(by, person)
    if ends_on < starts_on:
        raise Refused("The last day comes before the first.", field="ends_on")
    if person.absences.filter(starts_on=starts_on, ends_on=ends_on, part=part).exists():
        raise Refused(f"{person} is already away then.", field="starts_on")
    note_away_changed(person.pk, now)
    return Absence.objects.create(
        firm_id=person.firm_id, person=person, kind=kind, starts_on=starts_on, ends_on=ends_on, part=part, note=note
    )


@transaction.atomic
def remove_absence(*, absence: Absence, by: User, now: datetime) -> None:
    """Take away an absence somebody typed; one that was read from a calendar would come back with the next reading."""
    require_office(by, absence)
    if absence.source_id:
        raise Refused(f"This comes from “{absence.source}”. Change it there, or remove that calendar.")
    note_away_changed(absence.person_id, now)
    absence.delete()


@transaction.atomic
def add_college_day(
    *, person: Person, weekday: int, starts_on: date, ends_on: date, by: User, now: datetime
) -> DayRelease:
    require_office(by, person)
    if ends_on < starts_on:
        raise Refused("The last day of the course comes before the first.", field="ends_on")
    if person.day_releases.filter(weekday=weekday, starts_on__lte=ends_on, ends_on__gte=starts_on).exists():
        raise Refused(f"{person} is at college on {WEEKDAYS[weekday]}s in that time already.", field="weekday")
    note_away_changed(person.pk, now)
    return DayRelease.objects.create(
        firm_id=person.firm_id, person=person, weekday=weekday, starts_on=starts_on, ends_on=ends_on
    )


@transaction.atomic
def remove_college_day(*, day_release: DayRelease, by: User, now: datetime) -> None:
    require_office(by, day_release)
    note_away_changed(day_release.person_id, now)
    day_release.delete()


def note_away_changed(person_pk: int, now: datetime) -> None:
    """So that a plan made before says that it does not know of it, and calendars that show days away are read anew."""
    Person.objects.filter(pk=person_pk).update(away_changed_at=now)
    read_anew(Person.objects.values_list("firm_id", flat=True).get(pk=person_pk))


def _check_person(person: Person, today: date) -> None:
    if Person.objects.filter(firm_id=person.firm_id, name=person.name).exclude(pk=person.pk).exists():
        raise Refused(f"There is a {person.name} already. Add a surname or nickname.", field="name")
    if person.born_on and person.born_on >= today:
        raise Refused("A birthday lies in the past.", field="born_on")
    if person.grade == Grade.APPRENTICE and not person.born_on:
        raise Refused("Give an apprentice's birthday, so that nobody under 18 is planned alone.", field="born_on")
    if person.may_test and (person.grade != Grade.ELECTRICIAN or is_under_18(person.born_on, today)):
        raise Refused("Only a grown-up electrician may test.", field="may_test")
    if is_under_18(person.born_on, today) and not person.needs_supervision:
        raise Refused("Anyone under 18 needs supervision.", field="needs_supervision")

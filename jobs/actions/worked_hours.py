"""Time: the hours a person says they worked on a package on a day."""

import uuid
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from jobs.actions.permission import Refused, require_member, require_office
from jobs.core.figures import plain
from jobs.models import Person, User, WorkedHours, WorkPackage
from jobs.queries.firm_calendar import local_today

MOST_HOURS = Decimal(24)


@transaction.atomic
def say_hours(*, package: WorkPackage, hours: Decimal, op_id: uuid.UUID, by: User, at: datetime) -> WorkedHours:
    """What somebody of the crew worked on the day of `at`; what they say last that day stands."""
    require_member(by, package)
    if by.person is None:
        raise Refused("Only somebody of the crew has hours. Sign in as that person, or enter them on the job’s page.")
    return _keep(package, by.person, local_today(package.firm, at), hours, at, op_id)


@transaction.atomic
def correct_worked_hours(
    *, package: WorkPackage, person: Person, on: date, hours: Decimal, by: User, now: datetime
) -> WorkedHours:
    """The office puts somebody's hours of a day right; nought takes them off."""
    require_office(by, package, person)
    if on > local_today(package.firm, now):
        raise Refused("That day lies ahead.", field="on")
    if not 0 <= hours <= MOST_HOURS:
        raise Refused(f"A day has {MOST_HOURS} hours.", field="hours")
    return _keep(package, person, on, hours, now, uuid.uuid4())


def _keep(
    package: WorkPackage, person: Person, on: date, hours: Decimal, at: datetime, op_id: uuid.UUID
) -> WorkedHours:
    Person.objects.select_for_update().get(pk=person.pk)  # one writer at a time for a person's day
    known = WorkedHours.objects.filter(package=package, person=person, on=on).first()
    if known and (known.said_at, str(known.op_id)) > (at, str(op_id)):
        return known
    _refuse_long_day(package, person, on, hours)
    said = {"firm_id": package.firm_id, "hours": hours, "said_at": at, "op_id": op_id}
    return WorkedHours.objects.update_or_create(package=package, person=person, on=on, defaults=said)[0]


def _refuse_long_day(package: WorkPackage, person: Person, on: date, hours: Decimal) -> None:
    others = WorkedHours.objects.filter(person=person, on=on).exclude(package=package)
    whole = hours + (others.aggregate(whole=Sum("hours"))["whole"] or 0)
    if whole > MOST_HOURS:
        words = f"That makes {plain(whole)} hours on one day. Correct the other work of that day first."
        raise Refused(words, field="hours")

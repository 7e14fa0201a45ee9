import uuid
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import permutations

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.operations import apply_operation
from jobs.actions.permission import Refused
from jobs.actions.worked_hours import correct_worked_hours
from jobs.models import Job, WorkedHours
from jobs.queries.worked_hours import load_worked
from tests.factories import NOW, TODAY, make_area, make_crew_user, make_firm, make_job, make_office, make_package, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def crew(firm):
    return make_crew_user(make_person(firm, "Priya"))


@pytest.fixture
def package(firm):
    return make_package(make_area(make_job(firm, state=Job.State.ON_SITE)))


def said(package, hours: object, at: datetime = NOW) -> dict[str, object]:
    return {
        "op_id": str(uuid.uuid4()), "kind": "hours", "item": str(package.uid), "value": {"hours": hours},
        "device_at": at.isoformat(), "sent_at": NOW.isoformat(),
    }


def say(user, package, hours: object, at: datetime = NOW, now: datetime = NOW):
    return apply_operation(user=user, body=said(package, hours, at), now=now)


def test_hours_are_kept_for_person_package_and_day(crew, package):
    assert say(crew, package, "7.5").status == 200

    row = WorkedHours.objects.get()
    assert (row.person, row.package, row.on, row.hours) == (crew.person, package, TODAY, Decimal("7.5"))


def test_what_was_said_last_that_day_stands_whatever_the_order_of_arrival(crew, package):
    told = [said(package, hours, NOW - timedelta(minutes=10 - hours)) for hours in (1, 2, 3)]
    for order in permutations(told):
        WorkedHours.objects.all().delete()
        for number, body in enumerate(order):
            apply_operation(user=crew, body=body | {"op_id": str(uuid.uuid4())}, now=NOW)
            assert WorkedHours.objects.count() == 1, number
        assert WorkedHours.objects.get().hours == 3


def test_day_is_that_of_the_work_when_the_phone_sends_later(crew, package):
    say(crew, package, 8, NOW - timedelta(days=2))

    assert WorkedHours.objects.get().on == TODAY - timedelta(days=2)


def test_day_is_the_firms_own_when_it_is_late_in_summer(crew, package):
    # 23:30 UTC is 00:30 of the next day in London, on summer time from 28 March 2027 (calendar of 2027)
    late = datetime(2027, 6, 1, 23, 30, tzinfo=UTC)
    body = said(package, 1) | {"device_at": late.isoformat(), "sent_at": late.isoformat()}

    apply_operation(user=crew, body=body, now=late)

    assert WorkedHours.objects.get().on.isoformat() == "2027-06-02"


def test_hours_are_refused_when_a_day_would_have_more_than_24(crew, package):
    say(crew, package, 20)

    answer = say(crew, make_package(make_area(package.job, "Loft")), 5)

    assert (answer.status, WorkedHours.objects.count()) == (409, 1)


def test_hours_are_refused_when_the_sender_is_nobody_of_the_crew(firm, package):
    assert say(make_office(firm), package, 8).status == 409


def test_office_puts_hours_right_and_they_stand(firm, crew, package):
    say(crew, package, 8)

    later = NOW + timedelta(days=1)
    correct_worked_hours(package=package, person=crew.person, on=TODAY, hours=Decimal(6), by=make_office(firm), now=later)

    assert [(row.package, row.hours) for row in load_worked(package.job)] == [(package, 6)]


def test_hours_of_a_day_ahead_are_refused(firm, crew, package):
    ahead = TODAY + timedelta(days=1)

    with pytest.raises(Refused, match="ahead"):
        correct_worked_hours(package=package, person=crew.person, on=ahead, hours=Decimal(6), by=make_office(firm), now=NOW)


def test_crew_and_other_firms_put_nothing_right(crew, package):
    for user in (crew, make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            correct_worked_hours(package=package, person=crew.person, on=TODAY, hours=Decimal(6), by=user, now=NOW)

"""Main pages ask the database as often with many jobs as with few."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Job, MaterialNeed, Person, Plan, RoomTask, User
from tests.factories import (
    NOW,
    make_area,
    make_crew_user,
    make_firm,
    make_item,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_room,
    make_visit,
)
from tests.planning import book, span

pytestmark = [pytest.mark.once, pytest.mark.django_db]


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def plan():
    return make_plan(make_firm(), Plan.State.ISSUED)


@pytest.fixture
def edda(plan):
    return make_person(plan.firm, "Edda Marsh")


def add_jobs(plan: Plan, edda: Person, count: int) -> None:
    """Each with a line, materials, a visit, and work this week; the first one's work is today."""
    for number in range(count):
        area = make_area(make_job(plan.firm, state=Job.State.BOOKED))
        package, visit = make_package(area), make_visit(area.job, area=area)
        RoomTask.objects.create(firm=plan.firm, package=package, room=make_room(area), code="x", text="x")
        MaterialNeed.objects.create(firm=plan.firm, package=package, item=make_item(plan.firm), quantity=2)
        on = NOW.date() + timedelta(days=min(number, 2))
        book(plan, edda if number else make_person(plan.firm), package, on)
        span(plan, package, on)
        span(plan, visit, on + timedelta(days=1))


def count_queries(user: User, address: str) -> int:
    client = Client()
    client.force_login(user)
    with CaptureQueriesContext(connection) as asked:
        assert client.get(address).status_code == 200
    return len(asked)


@pytest.mark.parametrize("name", ["week", "job_list"])
def test_the_office_asks_as_often_with_15_jobs_as_with_5(plan, edda, name):
    office = make_office(plan.firm)
    add_jobs(plan, edda, 5)
    few = count_queries(office, reverse(name))
    add_jobs(plan, edda, 10)
    assert count_queries(office, reverse(name)) == few


@pytest.mark.parametrize("name", ["today", "site_job"])
def test_the_site_asks_as_often_with_15_jobs_as_with_5(plan, edda, name):
    add_jobs(plan, edda, 5)
    crew = make_crew_user(Person.objects.filter(bookings__on=NOW.date()).first())
    job = Job.objects.earliest("pk")
    address = reverse(name, args=[job.pk] if name == "site_job" else [])
    few = count_queries(crew, address)
    add_jobs(plan, edda, 10)
    assert count_queries(crew, address) == few

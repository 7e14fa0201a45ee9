"""A crew member of a firm with one room, its package and line, and a phone signed in."""


import pytest

from jobs.models import Job, Plan
from tests.factories import (
    make_area,
    make_crew_user,
    make_job,
    make_package,
    make_person,
    make_plan,
    make_room,
)
from tests.web.site.pages import make_task


@pytest.fixture
def person(firm):
    return make_person(firm, "Priya")


@pytest.fixture
def area(firm):
    return make_area(make_job(firm, "Mill Cottage", state=Job.State.BOOKED, address="1 Weir Lane"))


@pytest.fixture
def room(area):
    return make_room(area, "Kitchen")


@pytest.fixture
def package(area):
    return make_package(area)


@pytest.fixture
def task(package, room):
    return make_task(package, room)


@pytest.fixture
def plan(firm):
    return make_plan(firm, Plan.State.ISSUED)


@pytest.fixture
def phone(client, person):
    client.force_login(make_crew_user(person))
    return client

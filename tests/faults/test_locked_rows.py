"""What somebody else's unfinished change holds: the whole of SQLite, or the one row on PostgreSQL."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
import pytest
from django.db import connection
from django.test import Client

from jobs.models import Notice, Plan
from rewire.settings import database_settings
from tests.factories import make_office
from tests.told import Told, make_told

pytestmark = pytest.mark.django_db(transaction=True)
IMPATIENT = {"sqlite": "PRAGMA busy_timeout = 500", "postgresql": "SET lock_timeout = '500ms'"}
"""Half a second instead of ten."""


@pytest.fixture
def told() -> Told:
    return make_told()


@pytest.fixture
def draft(told: Told) -> Plan:
    draft = Plan.objects.create(firm=told.firm, number=99, state=Plan.State.DRAFT, made_at=told.plan.made_at)
    told.plan.spans.update(plan=draft)
    return draft


@pytest.fixture
def office(client: Client, told: Told) -> Iterator[Client]:
    client.force_login(make_office(told.firm))
    with connection.cursor() as cursor:
        cursor.execute(IMPATIENT[connection.vendor])
    yield client
    connection.close()


@contextmanager
def held(plan: Plan) -> Iterator[None]:
    """Another connection is in the middle of changing the plan."""
    database = connection.settings_dict
    if connection.vendor == "sqlite":
        other = sqlite3.connect(database["NAME"], isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
    else:
        other = psycopg.connect(
            host=database["HOST"], port=database["PORT"], user=database["USER"], password=database["PASSWORD"],
            dbname=database["NAME"],
        )
    other.execute(f"UPDATE jobs_plan SET message = 'held' WHERE id = {plan.pk:d}")
    try:
        yield
    finally:
        other.rollback()
        other.close()


def issue(office: Client, plan: Plan):
    return office.post(f"/plan/{plan.pk}/issue/", {"version": plan.version})


def test_office_is_told_to_try_again_when_somebody_holds_the_plan(office: Client, draft: Plan) -> None:
    notices = Notice.objects.count()
    with held(draft):
        answer = issue(office, draft)
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert (Notice.objects.count(), Plan.objects.get(pk=draft.pk).state) == (notices, Plan.State.DRAFT)


def test_pages_are_read_when_somebody_holds_the_plan(office: Client, draft: Plan) -> None:
    with held(draft):
        assert office.get("/plan/review/").status_code == 200


def test_plan_is_issued_when_nobody_holds_it_any_more(office: Client, draft: Plan) -> None:
    with held(draft):
        issue(office, draft)
    assert issue(office, draft).status_code == 302


@pytest.mark.once
def test_no_request_waits_for_a_lock_for_ever_when_the_database_is_postgresql() -> None:
    options = database_settings("postgresql://rewire@db.example/rewire")["OPTIONS"]
    assert options == {"options": "-c lock_timeout=10s"}

"""What somebody else's unfinished change holds: the whole of SQLite, or the one row on PostgreSQL."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

import psycopg
import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from jobs.actions.devices import is_let_in, let_in_by_code, make_sign_in
from jobs.models import Notice, Plan
from jobs.web.session_limits import SEEN_AT
from rewire.settings import database_settings
from tests.factories import make_office, make_person
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
def held(table: str = "jobs_plan") -> Iterator[None]:
    """Another connection is in the middle of changing the table's rows."""
    database = connection.settings_dict
    if connection.vendor == "sqlite":
        other = sqlite3.connect(database["NAME"], isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
    else:
        other = psycopg.connect(
            host=database["HOST"], port=database["PORT"], user=database["USER"], password=database["PASSWORD"],
            dbname=database["NAME"],
        )
    own = {"jobs_plan": "number", "jobs_device": "name", "django_session": "session_data"}[table]
    other.execute(f"UPDATE {table} SET {own} = {own}")
    try:
        yield
    finally:
        other.rollback()
        other.close()


def issue(office: Client, plan: Plan):
    return office.post(f"/plan/{plan.pk}/issue/", {"version": plan.version})


def test_office_is_told_to_try_again_when_somebody_holds_the_plan(office: Client, draft: Plan) -> None:
    notices = Notice.objects.count()
    with held():
        answer = issue(office, draft)
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert (Notice.objects.count(), Plan.objects.get(pk=draft.pk).state) == (notices, Plan.State.DRAFT)


def test_pages_are_read_when_somebody_holds_the_plan(office: Client, draft: Plan) -> None:
    with held():
        assert office.get("/plan/review/").status_code == 200


def test_plan_is_issued_when_nobody_holds_it_any_more(office: Client, draft: Plan) -> None:
    with held():
        issue(office, draft)
    assert issue(office, draft).status_code == 302


def test_page_is_read_when_the_session_cannot_be_noted_as_used(office: Client) -> None:
    session = office.session
    session[SEEN_AT] -= 600
    session.save()
    with held("django_session"):
        assert office.get("/site/hello").status_code == 200


def test_phone_comes_in_when_it_cannot_be_noted_as_seen(told: Told) -> None:
    now, person = timezone.now(), make_person(told.firm)
    sign_in = make_sign_in(person=person, by=told.office, now=now)
    key = let_in_by_code(code=sign_in.code, device_name="Phone", now=now).key
    with connection.cursor() as cursor:
        cursor.execute(IMPATIENT[connection.vendor])
    with held("jobs_device"):
        assert is_let_in(key=key, now=now + timedelta(hours=1))
    connection.close()


@pytest.mark.once
def test_no_request_waits_for_a_lock_for_ever_when_the_database_is_postgresql() -> None:
    options = database_settings("postgresql://rewire@db.example/rewire")["OPTIONS"]
    assert options == {"options": "-c lock_timeout=10s"}

"""Pages that are kept: the same while nothing changed, and never older than what they show."""

import json
import re
import uuid
from datetime import datetime, timedelta

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.models import Absence, FirmChange, MaterialNeed, Person, Plan, Room, RoomTask, User
from jobs.models.change_marks import MARKS, TICKED, marked_tables, ticked_mark
from jobs.web import unchanged
from jobs.web.session_limits import SEEN_AT, SIGNED_IN_AT
from tests.factories import (
    NOW,
    make_contact,
    make_crew_user,
    make_item,
    make_office,
    make_plan,
    make_room,
    make_visit,
)
from tests.planning import book, make_working_firm, span
from tests.rows import Rows

pytestmark = pytest.mark.django_db(transaction=True)
WARM_QUERIES = 3
"""Session, person, marks."""


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    moment = [NOW]
    monkeypatch.setattr("django.utils.timezone.now", lambda: moment[0])
    monkeypatch.setattr(unchanged, "_shelf", unchanged._Shelf())
    return moment


@pytest.fixture
def firm():
    """A house with work this week for one person, in one room, and materials that nobody has."""
    job = make_working_firm()
    edda, package = Person.objects.get(name="Edda Marsh"), job.packages.first()
    room = make_room(package.area, "Kitchen")
    RoomTask.objects.create(firm=job.firm, package=package, room=room, code="sockets", text="Sockets")
    plan = make_plan(job.firm, Plan.State.ISSUED)
    book(plan, edda, package, NOW.date())
    span(plan, package, NOW.date() + timedelta(days=2))
    MaterialNeed.objects.create(firm=job.firm, package=package, item=make_item(job.firm, "box"), quantity=12)
    return job.firm


@pytest.fixture
def addresses(firm):
    room = Room.objects.get(firm=firm)
    return {
        "week": reverse("week"), "today": reverse("today"), "site_job": reverse("site_job", args=[room.job_id]),
        "site_room": reverse("site_room", args=[room.pk]), "job": reverse("job", args=[room.job_id]),
        "plan_review": reverse("plan_review"), "contact_list": reverse("contact_list"), "stores": reverse("stores"),
        "job_list": reverse("job_list"), "job_materials": reverse("job_materials", args=[room.job_id]),
    }


@pytest.fixture
def edda(firm):
    return make_crew_user(Person.objects.get(name="Edda Marsh"))


def signed_in(user: User, **fields: object) -> Client:
    client = Client(**fields)
    client.force_login(user)
    return client


@pytest.fixture
def office(firm):
    return signed_in(make_office(firm))


def go_to(clock: list, client: Client, moment: datetime) -> None:
    """Another time, with the client still at work."""
    session = client.session
    session.update({SIGNED_IN_AT: moment.timestamp(), SEEN_AT: moment.timestamp()})
    session.set_expiry(timedelta(days=30))
    session.save()
    clock[0] = moment


def read(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def count_queries(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        read(client, address)
    return len(asked)


def tick(client: Client) -> None:
    operation = {
        "op_id": str(uuid.uuid4()), "kind": "tick", "item": str(RoomTask.objects.get().uid), "value": {"share": 1},
        "device_at": timezone.now().isoformat(),
    }
    body = {"sent_at": timezone.now().isoformat(), "operations": [operation]}
    answers = client.post(reverse("sync"), json.dumps(body), content_type="application/json").json()["answers"]
    assert answers[0]["result"] == "applied"


PAGES = (
    "week", "today", "site_job", "site_room", "job", "plan_review", "contact_list", "stores", "job_list", "job_materials"
)


@pytest.mark.parametrize("name", PAGES)
def test_page_asks_for_nothing_but_who_and_whether_it_changed_when_it_is_kept(office, addresses, name):
    first = count_queries(office, addresses[name])
    assert count_queries(office, addresses[name]) == WARM_QUERIES < first


@pytest.mark.parametrize("name", PAGES)
def test_page_is_the_same_as_when_it_was_built_when_it_is_kept(office, addresses, name):
    built, kept = (re.sub(r"[0-9a-zA-Z]{64}|op_id\" value=\"[^\"]+", "", read(office, addresses[name])) for _ in "12")
    assert kept == built


def test_every_row_a_kept_page_shows_marks_its_changes():
    job = make_working_firm()
    rows = Rows(job.firm)
    tables = {table for table, _ in marked_tables()}
    for model in apps.get_app_config("jobs").get_models():
        if model._meta.db_table in tables:
            rows[model]
    Plan.objects.update(state=Plan.State.ISSUED, issued_at=NOW)
    office = signed_in(make_office(job.firm))
    of_job, of_room = rows[Room].job_id, rows[Room].pk
    addresses = [reverse(name) for name in ("week", "today", "plan_review", "contact_list", "stores", "job_list")]
    addresses += [reverse(name, args=[of_job]) for name in ("site_job", "job", "job_materials")]
    addresses += [reverse("site_room", args=[of_room])]
    with CaptureQueriesContext(connection) as asked:
        for address in addresses:
            read(office, address)
    asked_for = {table for query in asked for table in re.findall(r'(?:FROM|JOIN) "?(\w+)"?', query["sql"])}
    assert asked_for - tables == {"django_session", MARKS}
    assert len(asked_for) > 25


def test_a_tick_shows_at_once_when_it_came_from_another_phone(office, edda, addresses):
    before = [read(office, addresses[name]) for name in ("today", "site_job", "site_room")]
    assert "0 of 1 lines" in before[0]
    tick(signed_in(edda))
    after = [read(office, addresses[name]) for name in ("today", "site_job", "site_room")]
    assert "0 of 1 lines" not in "".join(after)


@pytest.mark.parametrize("name", PAGES)
def test_page_is_built_anew_when_a_table_it_asked_has_changed_and_only_then(office, firm, addresses, name):
    read(office, addresses[name])
    (kept,) = unchanged._shelf._pages.values()
    marks = {table for table, _ in marked_tables()} | {ticked_mark(table) for table in TICKED}
    FirmChange.objects.bulk_create(FirmChange(firm_number=firm.pk, table_name=mark) for mark in marks - kept.standing.keys())
    assert count_queries(office, addresses[name]) == WARM_QUERIES
    FirmChange.objects.create(firm_number=firm.pk, table_name=max(kept.standing))
    assert count_queries(office, addresses[name]) > WARM_QUERIES


def test_stores_stay_when_a_line_is_ticked_that_takes_nothing(office, firm, addresses):
    read(office, addresses["stores"])
    RoomTask.objects.filter(firm=firm).update(done_share=1, done_at=NOW)
    assert count_queries(office, addresses["stores"]) == WARM_QUERIES


def test_every_page_of_stores_shows_less_when_the_take_off_has_changed(office, firm, addresses):
    before = [read(office, addresses[name]) for name in ("stores", "job_materials")]
    MaterialNeed.objects.filter(firm=firm).update(quantity=7)
    assert all("7 short" in read(office, addresses[name]) for name in ("stores", "job_materials"))
    assert "7 short" not in "".join(before)


def test_trades_and_jobs_show_a_name_when_it_has_just_changed(office, firm, addresses):
    job = Room.objects.get(firm=firm).job
    make_visit(job, make_contact(firm))
    names = ("contact_list", "job_list")
    assert all(job.name in read(office, addresses[name]) for name in names)
    type(job).objects.filter(pk=job.pk).update(name="12 Quarry Rise")
    assert all("12 Quarry Rise" in read(office, addresses[name]) for name in names)


def test_the_review_shows_a_draft_when_it_has_just_been_made(office, firm, addresses):
    before = read(office, addresses["plan_review"])
    make_plan(firm, Plan.State.DRAFT)
    assert read(office, addresses["plan_review"]) != before


def test_the_week_says_who_is_away_when_somebody_has_just_called_in_sick(office, firm):
    assert "sick" not in read(office, reverse("week"))
    Absence.objects.create(firm=firm, person=Person.objects.get(name="Tom Reed"), kind="sick", starts_on=NOW, ends_on=NOW)
    assert "sick" in read(office, reverse("week"))


def test_the_day_is_another_when_midnight_of_the_firm_has_passed(office, clock):
    assert "Tuesday 12 January" in read(office, reverse("today"))
    go_to(clock, office, NOW.replace(hour=23, minute=59))
    assert count_queries(office, reverse("today")) == WARM_QUERIES
    go_to(clock, office, NOW + timedelta(hours=15))
    assert "Wednesday 13 January" in read(office, reverse("today"))


def test_the_week_says_too_late_when_the_last_moment_to_order_has_passed(office, clock):
    assert "Order by Wed 13 Jan, 19:00" in read(office, reverse("week"))
    go_to(clock, office, NOW.replace(day=13, hour=18))
    assert "Order by Wed 13 Jan, 19:00" in read(office, reverse("week"))
    assert count_queries(office, reverse("week")) == WARM_QUERIES
    go_to(clock, office, NOW.replace(day=13, hour=19, minute=1))
    assert "Too late for that day" in read(office, reverse("week"))


def test_the_job_says_when_it_comes_now_when_the_suppliers_cut_off_has_passed(office, addresses, clock):
    read(office, addresses["job"])
    go_to(clock, office, NOW.replace(hour=18, minute=59))
    assert count_queries(office, addresses["job"]) == WARM_QUERIES
    go_to(clock, office, NOW.replace(hour=19, minute=1))
    assert count_queries(office, addresses["job"]) > WARM_QUERIES


def test_nobody_sees_what_was_kept_for_another(office, edda):
    assert "Olwen" in read(office, reverse("today"))
    assert "Olwen" not in read(signed_in(edda), reverse("today"))


def test_fragment_and_page_are_kept_apart(office):
    page = read(office, reverse("week"))
    fragment = office.get(reverse("week"), headers={"HX-Request": "true"}).content.decode()
    assert ("<html" in page, "<html" in fragment) == (True, False)


def test_every_form_has_an_id_of_its_own_each_time_when_the_page_is_kept(office, addresses):
    pages = [read(office, addresses["site_room"]) for _ in range(3)]
    ids = [found for page in pages for found in re.findall(r'name="op_id" value="([^"]+)"', page)]
    assert len(set(ids)) == len(ids) > 9
    assert all(uuid.UUID(found) for found in ids)


def test_a_form_of_a_kept_page_is_taken_when_it_is_sent(firm, addresses):
    olwen = make_office(firm)
    client = Client(enforce_csrf_checks=True)
    client.force_login(olwen)
    read(client, addresses["site_room"])
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)"', read(client, addresses["site_room"]))[1]
    answer = client.post(
        reverse("record_in_room", args=[Room.objects.get(firm=firm).pk]),
        {"csrfmiddlewaretoken": token, "op_id": str(uuid.uuid4()), "kind": "snag", "words": "Loose box", "hours": "1",
         "stage": "first_fix", "item": str(Room.objects.get(firm=firm).uid)},
    )
    assert answer.status_code == 302
    assert "Loose box" in read(client, addresses["site_room"])


def test_a_message_is_shown_once_when_the_page_is_kept(office):
    read(office, reverse("week"))
    office.post(reverse("refresh_draft"))
    assert 'role="status">The draft takes in' in read(office, reverse("week"))
    assert 'role="status">The draft takes in' not in read(office, reverse("week"))


def test_the_page_last_asked_for_stays_when_there_is_room_for_one(office, monkeypatch):
    monkeypatch.setattr(unchanged, "MOST_BYTES", len(read(office, reverse("week"))) + 100)
    read(office, reverse("today"))
    assert count_queries(office, reverse("today")) == WARM_QUERIES
    assert count_queries(office, reverse("week")) > WARM_QUERIES


def test_a_person_let_out_sees_nothing_that_was_kept(edda):
    client = signed_in(edda)
    read(client, reverse("today"))
    User.objects.filter(pk=edda.pk).update(is_active=False)
    assert client.get(reverse("today")).status_code == 302

import json
import uuid

import pytest
from django.db import OperationalError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.actions.devices import make_sign_in, revoke_device
from jobs.models import Device, RoomTask, SiteOperation
from tests.factories import (
    make_area,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_room,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(firm):
    return make_person(firm, "Priya")


@pytest.fixture
def task(firm):
    area = make_area(make_job(firm))
    package = make_package(area)
    return RoomTask.objects.create(firm=firm, package=package, room=make_room(area), code="sockets", text="Sockets")


@pytest.fixture
def phone(client, person):
    client.force_login(make_crew_user(person))
    return client


def tick(task: RoomTask, **changes: object) -> dict[str, object]:
    return {
        "op_id": str(uuid.uuid4()), "kind": "tick", "item": str(task.uid), "value": {"share": 1},
        "device_at": timezone.now().isoformat(),
    } | changes


def send(client: Client, operations: object, **headers: str):
    body = {"sent_at": timezone.now().isoformat(), "operations": operations}
    return client.post(reverse("sync"), json.dumps(body), content_type="application/json", **headers)


def test_hello_says_who_is_signed_in_and_is_never_stored(phone):
    response = phone.get(reverse("hello"))

    assert response.json()["user"]["name"] == "Priya"
    assert "no-store" in response["Cache-Control"]


@pytest.mark.parametrize("method, name", [("get", "hello"), ("post", "sync")])
def test_answer_is_401_in_json_when_nobody_is_signed_in(client, method, name):
    response = getattr(client, method)(reverse(name))

    assert response.status_code == 401
    assert response.json()["reason"]


def test_answer_is_401_when_the_office_revoked_the_phone(client, firm, person, task):
    # OWASP ASVS 5.0, 7.4.5
    office = make_office(firm)
    sign_in = make_sign_in(person=person, by=office, now=timezone.now())
    client.post(reverse("sign_in_with_code"), {"code": sign_in.code})
    assert send(client, [tick(task)]).status_code == 200

    revoke_device(device=Device.objects.get(), by=office, now=timezone.now())

    assert send(client, [tick(task)]).status_code == 401


def test_each_operation_gets_its_own_answer_in_order(phone, task):
    good, bad = tick(task), tick(task, kind="demolish")

    answers = send(phone, [good, bad, good, "odd"]).json()["answers"]

    assert [answer["status"] for answer in answers] == [200, 422, 200, 422]
    assert [answer["ack"] for answer in answers] == [good["op_id"], bad["op_id"], good["op_id"], None]
    assert answers[2]["result"] == "duplicate"


def test_state_is_told_when_a_tick_is_applied(phone, task):
    operation = tick(task)

    answer = send(phone, [operation]).json()["answers"][0]

    assert answer["state"] == {"item": str(task.uid), "share": 1.0, "not_needed": "", "marks": [operation["op_id"]]}


def test_post_is_refused_when_its_token_is_missing(person, task):
    # OWASP ASVS 5.0, 3.5.1
    client = Client(enforce_csrf_checks=True)
    client.force_login(make_crew_user(person))

    assert send(client, [tick(task)]).status_code == 403
    assert not SiteOperation.objects.exists()


def test_post_is_taken_when_its_token_is_fresh_from_hello(person, task):
    client = Client(enforce_csrf_checks=True)
    client.force_login(make_crew_user(person))
    token = client.get(reverse("hello")).json()["csrf"]

    assert send(client, [tick(task)], HTTP_X_CSRFTOKEN=token).status_code == 200


@pytest.mark.parametrize("operations", [None, [], "tick", [{}] * 51, {"op_id": 1}])
def test_sending_is_422_when_it_is_not_a_list_of_1_to_50(phone, operations):
    assert send(phone, operations).status_code == 422


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b"\xff\xfe", b"[" * 100_000, b'{"operations": 1}'])
def test_sending_is_422_when_it_is_not_json_of_the_right_form(phone, body):
    response = phone.post(reverse("sync"), body, content_type="application/json")

    assert response.status_code == 422


def test_sending_is_413_when_it_is_longer_than_a_megabyte(phone, task):
    assert send(phone, [tick(task, value={"reason": "x" * 1_100_000})]).status_code == 413


def test_operation_is_bad_when_the_sending_has_no_time(phone, task):
    response = phone.post(reverse("sync"), json.dumps({"operations": [tick(task)]}), content_type="application/json")

    assert response.json()["answers"][0]["status"] == 422


def test_sending_is_429_when_there_were_a_hundred_in_a_minute(phone):
    # OWASP ASVS 5.0, 2.4.1
    for _ in range(100):
        phone.post(reverse("sync"), b"{", content_type="application/json")

    assert phone.post(reverse("sync"), b"{", content_type="application/json").status_code == 429


def test_rest_is_left_for_later_when_the_database_is_in_trouble(phone, task, monkeypatch):
    answers = iter([OperationalError("database is locked")])
    monkeypatch.setattr("jobs.web.views.sync.apply_operation", lambda **asked: (_ for _ in ()).throw(next(answers)))
    first, second = tick(task), tick(task)

    found = send(phone, [first, second]).json()["answers"]

    assert [(answer["ack"], answer["status"]) for answer in found] == [(first["op_id"], 503), (second["op_id"], 503)]


def test_other_firms_line_is_bad_and_says_nothing_about_it(phone):
    area = make_area(make_job(make_firm("Other")))
    theirs = RoomTask.objects.create(
        firm=area.firm, package=make_package(area), room=make_room(area), code="sockets", text="Sockets"
    )

    answer = send(phone, [tick(theirs)]).json()["answers"][0]

    assert (answer["status"], answer["state"]) == (422, {})

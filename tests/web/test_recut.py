"""A drum that turns out shorter than its record."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import CircuitRecipe
from jobs.web.views import stores_jobs
from tests.factories import make_area, make_circuit, make_point, make_point_kind, make_room
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _short_search(monkeypatch):
    monkeypatch.setattr(stores_jobs, "SECONDS_PER_CABLE", 0.2)


@pytest.fixture
def store():
    store = make_store()
    CircuitRecipe.objects.create(
        firm=store.firm, circuit_kind="ring", cable=store.cable, board_run_metres=5, between_metres=3, drop_metres=1,
        board_leg_metres=1,
    )
    point = make_point_kind(store.firm)
    room = make_room(make_area(store.job))
    make_point(room, point, make_circuit(store.job, "R1", cable_metres=45))
    store.receive_drum("D1", 80)
    store.receive_drum("D2", 70)
    return store


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


def address(store, drum="D1", more=""):
    return reverse("recut", args=[store.job.pk]) + f"?drum={drum}{more}"


def text(response):
    return " ".join(response.content.decode().split())


def test_the_cut_list_offers_it_for_drums_that_are_there(office, store):
    page = text(office.get(reverse("cut_list", args=[store.job.pk])))
    assert address(store, "D2") in page


@pytest.mark.parametrize(
    ("drum", "seen", "more", "changes"),
    [
        ("D2", "70.00", "", "R1: cut from D1, no longer from D2."),
        ("D1", "80.00", "&cuts=best", "R1: cut from D2, no longer from D1."),
    ],
    ids=["at-once", "best"],
)
def test_the_difference_is_booked_and_the_page_says_what_changes(office, store, drum, seen, more, changes):
    data = {"op_id": str(uuid4()), "found": "30", "seen": seen}
    page = text(office.post(address(store, drum, more), data))
    assert store.held(store.unit, store.cable) == 150 - Decimal(seen) + 30
    assert f"Booked as counted: 30 m on {drum}" in page
    assert changes in page


def test_the_same_form_twice_books_once(office, store):
    data = {"op_id": str(uuid4()), "found": "30", "seen": "80.00"}
    office.post(address(store), data)
    office.post(address(store), data)
    assert store.held(store.unit, store.cable) == 100


@pytest.mark.parametrize(("found", "seen"), [("-3", "80.00"), ("x", "80.00"), ("30", "55.00")])
def test_a_length_that_cannot_be_is_refused_in_words(office, store, found, seen):
    response = office.post(address(store), {"op_id": str(uuid4()), "found": found, "seen": seen})
    assert response.status_code == 422
    assert store.held(store.unit, store.cable) == 150


@pytest.mark.parametrize("drum", ["", "D9"])
def test_a_label_of_no_drum_is_not_found(office, store, drum):
    assert office.get(address(store, drum)).status_code == 404

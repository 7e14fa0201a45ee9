"""The cable list of a job on the phone and on paper."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.models import CircuitRecipe
from tests.factories import NOW, make_area, make_circuit, make_crew_user, make_package, make_point, make_point_kind, make_room
from tests.stores import Store, make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store() -> Store:
    store = make_store()
    CircuitRecipe.objects.create(
        firm=store.firm, circuit_kind="ring", cable=store.cable, board_run_metres=5, between_metres=3, drop_metres=1,
        board_leg_metres=1,
    )
    store.receive_drum("D1", 60)
    area = make_area(store.job)
    make_package(area)
    ring = make_circuit(store.job, "C2", cable_metres=Decimal("42.5"))
    make_point(make_room(area), make_point_kind(store.firm), ring)
    return store


@pytest.fixture
def phone(client, store):
    client.force_login(make_crew_user(store.person))
    return client


def page(phone, name: str, store: Store) -> str:
    return phone.get(reverse(name, args=[store.job.pk])).content.decode()


def test_job_on_the_phone_says_of_each_run_its_cable_metres_and_drum(phone, store):
    found = page(phone, "site_job", store)
    assert '<th scope="row" class="whole">C2</th><td>Cable 2.5' in found
    assert '<td class="number" data-label="Metres">42.5</td><td data-label="Cut from" class="whole">D1' in found


def test_job_on_the_phone_says_new_drum_when_none_in_stores_is_long_enough(phone, store):
    store.job.circuits.update(cable_metres=90)
    found = page(phone, "site_job", store)
    assert '<td class="number" data-label="Metres">90</td><td data-label="Cut from" class="whole">a new drum</td>' in found


def test_cut_list_on_paper_names_the_drum_and_leads_back_to_the_job(phone, store):
    found = page(phone, "site_cuts", store)
    assert "D1 <span" in found
    assert "left 17.5 m" in found
    assert "data:image/svg+xml" in found
    assert f"http://testserver{reverse('site_job', args=[store.job.pk])}" in found


def test_cut_list_says_so_when_first_fix_is_finished(phone, store):
    store.job.packages.update(finished_at=NOW)
    assert "First fix is finished" in page(phone, "site_cuts", store)

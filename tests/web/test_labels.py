"""Labels: printed as a sheet, read with a camera or typed, and where they lead."""

import pytest
from django.urls import reverse

from jobs.queries.labels import label_in
from tests.factories import make_crew_user
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client, store):
    client.force_login(store.office)
    return client


@pytest.fixture
def crew(client, store):
    client.force_login(make_crew_user(store.person))
    return client


def text(response):
    return " ".join(response.content.decode().split())


def sheet(office, store, **data):
    return text(office.get(reverse("label_sheet"), {"place": store.unit.pk, "what": "drums"} | data))


def test_drums_in_a_place_get_a_label_each(office, store):
    store.receive_drum("D1")
    store.receive_drum("D2", to=store.van)
    page = sheet(office, store)
    assert "QR code of D1" in page
    assert "QR code of D2" not in page


def test_boxes_in_a_place_get_a_label_each(office, store):
    store.receive(5)
    assert "QR code of Back box" in sheet(office, store, what="boxes")


def test_labels_already_used_are_left_free(office, store):
    store.receive_drum("D1")
    assert sheet(office, store, used=2).count('<li aria-hidden="true">') == 2


def test_an_empty_place_says_so(office, store):
    assert "nothing of that lies there" in sheet(office, store)


def test_a_label_leads_the_office_to_the_full_page(office, store):
    drum = store.receive_drum("D1")
    assert office.get(reverse("label", args=[f"drum-{drum.pk}"])).url == reverse("drum", args=[drum.pk])


def test_a_label_tells_the_crew_what_is_left_and_where(crew, store):
    drum = store.receive_drum("D1", 80)
    page = text(crew.get(reverse("label", args=[f"drum-{drum.pk}"])))
    assert "<h1>Drum D1</h1>" in page
    assert "<span>Unit</span><strong>80 m</strong>" in page


@pytest.mark.parametrize("typed", ["D1", " d1 ", "https://rewire.example/stores/label/drum-{pk}/"])
def test_a_typed_or_read_label_leads_to_the_drum(crew, store, typed):
    drum = store.receive_drum("D1")
    response = crew.get(reverse("scan"), {"code": typed.format(pk=drum.pk)})
    assert response.url == reverse("label", args=[f"drum-{drum.pk}"])


def test_a_part_of_a_name_lists_what_holds_it(crew, store):
    page = text(crew.get(reverse("scan"), {"code": "b"}))
    assert "Back box</a>" in page
    assert "Cable 2.5</a>" in page


def test_a_label_nobody_knows_says_so(crew):
    assert "Nothing has the label “D99”" in text(crew.get(reverse("scan"), {"code": "D99"}))


@pytest.mark.parametrize("name", ["drum-999999", "item-0", "drum-x", "person-1", f"drum-{'9' * 30}"])
def test_a_label_of_nothing_is_not_found(crew, name):
    assert crew.get(reverse("label", args=[name])).status_code == 404


def test_another_firms_label_is_not_found(client, store):
    drum = store.receive_drum("D1")
    client.force_login(make_store("Other Electrics").office)
    assert client.get(reverse("label", args=[f"drum-{drum.pk}"])).status_code == 404
    assert "Nothing has the label" in text(client.get(reverse("scan"), {"code": "D1"}))


@pytest.mark.parametrize("scanned", ["", "D1", "https://elsewhere.example/", "/stores/label/drum-/", "javascript:alert(1)"])
def test_anything_else_is_no_address_of_a_label(scanned):
    assert label_in(scanned) is None

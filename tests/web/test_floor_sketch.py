import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Item, LengthCorrection
from tests.factories import make_area, make_circuit, make_crew_user, make_firm, make_job, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client, house):
    client.force_login(house.office)
    return client


def text(response) -> str:
    return response.content.decode()


def _sketch(client, house, query=""):
    return client.get(reverse("floor_sketch", args=[house.job.pk]) + query)


def test_page_draws_floors_and_says_the_same_in_a_table(client, house):
    page = text(_sketch(client, house))
    assert "<svg" in page
    assert "<polyline" in page
    assert "board, Lounge (3), board" in page


def test_page_has_no_inline_style_or_script(client, house):
    page = text(_sketch(client, house, "?circuit=R1"))
    assert not any(word in page for word in (" style=", "onclick", "<style"))


def test_picked_circuit_is_drawn_alone_with_its_form(client, house):
    page = text(_sketch(client, house, "?circuit=R1&floor=0"))
    assert "Put the length right" in page
    assert "<title>R1</title>" in page
    assert "<title>L1</title>" not in page


@pytest.mark.parametrize("query", ["?circuit=%00%ff", "?floor=abc", "?floor=-99999", "?floor=²", "?circuit=R9&floor=3"])
def test_odd_questions_show_the_whole_sketch(client, house, query):
    assert _sketch(client, house, query).status_code == 200


def test_page_says_what_to_do_when_no_room_has_a_place(client, house):
    house.job.rooms.update(grid_x_metres=None)
    page = text(_sketch(client, house))
    assert "No room has a place on the grid yet" in page
    assert "firm averages used" in page


def test_length_is_put_right_and_taken_back_from_the_page(client, house):
    form = {"cable_metres": "61.5", "reason": "Round the chimney"}
    page = text(client.post(reverse("correct_length", args=[house.job.pk, house.ring.pk]), form, follow=True))
    assert "61.5 m of" in page
    assert "Round the chimney" in page
    assert "Olwen" in page
    page = text(client.post(reverse("take_back_length", args=[house.job.pk, house.ring.pk]), follow=True))
    assert "counts as worked out again" in page
    assert LengthCorrection.objects.count() == 2


def test_switch_drops_are_put_right_and_taken_back_from_the_page(client, house):
    cable = Item.objects.get(firm=house.firm, code="cable-1.5-3c")
    form = {"branch_cable": cable.pk, "cable_metres": "14", "reason": "Switches moved"}
    page = text(client.post(reverse("correct_length", args=[house.job.pk, house.lights.pk]), form, follow=True))
    assert f"14.0 m of {cable.name} to switches and the like, corrected" in page
    address = reverse("take_back_length", args=[house.job.pk, house.lights.pk])
    page = text(client.post(address, {"branch_cable": cable.pk}, follow=True))
    assert "to switches and the like, corrected" not in page


@pytest.mark.parametrize("cable", ["abc", "9" * 40, "²", "0"])
def test_strange_cable_is_refused_when_a_length_is_put_right(client, house, cable):
    form = {"branch_cable": cable, "cable_metres": "14", "reason": "x"}
    address = reverse("correct_length", args=[house.job.pk, house.lights.pk])
    assert (client.post(address, form).status_code, LengthCorrection.objects.count()) == (422, 0)
    assert client.post(reverse("take_back_length", args=[house.job.pk, house.lights.pk]), form).status_code in (302, 404)


def test_wrong_length_is_said_at_its_field(client, house):
    response = client.post(
        reverse("correct_length", args=[house.job.pk, house.ring.pk]), {"cable_metres": "-3", "reason": ""}
    )
    assert (response.status_code, LengthCorrection.objects.count()) == (422, 0)
    assert "Put the length right" in text(response)


def test_circuit_of_another_firm_is_not_found(client, house):
    stranger = make_circuit(make_job(make_firm("Other")))
    for name in ("correct_length", "take_back_length"):
        assert client.post(reverse(name, args=[stranger.job_id, stranger.pk])).status_code == 404
        assert client.post(reverse(name, args=[house.job.pk, stranger.pk])).status_code == 404
    assert client.get(reverse("floor_sketch", args=[stranger.job_id])).status_code == 404


def test_crew_does_not_see_the_sketch(client, house):
    client.force_login(make_crew_user(make_person(house.firm)))
    assert _sketch(client, house).status_code in (302, 403)


def test_queries_do_not_grow_with_the_circuits(client, house):
    with CaptureQueriesContext(connection) as few:
        _sketch(client, house)
    for number in range(5):
        circuit = make_circuit(house.job, f"R1{number}")
        house.add(house.lounge, "double-socket", circuit, 2)
    make_area(house.job, "First floor", level=1)
    with CaptureQueriesContext(connection) as many:
        _sketch(client, house)
    assert len(many) == len(few)

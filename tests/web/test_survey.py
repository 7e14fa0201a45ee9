from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.actions.survey import add_points
from jobs.models import Area, Circuit, Point, PointKind, Room, RoomTask
from tests.factories import (
    make_area,
    make_circuit,
    make_crew_user,
    make_firm,
    make_job,
    make_person,
    make_point,
    make_point_kind,
    make_room,
)

pytestmark = pytest.mark.django_db
FRAGMENT = {"HX-Request": "true"}


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def client(client, office):
    client.force_login(office)
    return client


@pytest.fixture
def job(firm):
    return make_job(firm, "Mill Row")


@pytest.fixture
def room(job):
    return make_room(make_area(job), "Front room", "lounge")


@pytest.fixture
def socket(firm):
    return PointKind.objects.get(firm=firm, code="double-socket")


def text(response) -> str:
    return response.content.decode()


def room_details(room_area: Area, **changed: object) -> dict[str, object]:
    return {
        "area": room_area.pk, "name": "Kitchen", "kind": "kitchen", "wall_kind": "stud", "floor_kind": "solid",
        "height_metres": "2.4",
    } | changed


def test_an_empty_survey_invites_to_type_or_import(client, job):
    page = text(client.get(reverse("survey", args=[job.pk])))
    assert "Nothing is surveyed yet" in page
    assert reverse("survey_import", args=[job.pk]) in page


def test_the_survey_shows_areas_rooms_points_and_circuits(client, room, socket):
    make_point(room, socket, make_circuit(room.job, "R1"))
    page = text(client.get(reverse("survey", args=[room.job_id])))
    for words in ("Ground floor", "Front room", "Double socket", "R1"):
        assert words in page


def test_the_survey_takes_the_same_number_of_queries_for_more_rooms(client, room, socket, django_assert_num_queries):
    address = reverse("survey", args=[room.job_id])
    with CaptureQueriesContext(connection) as one:
        client.get(address)
    for _ in range(4):
        make_point(make_room(room.area), socket)
    with django_assert_num_queries(len(one)):
        client.get(address)


def test_an_area_is_added_and_the_survey_comes_back(client, job):
    response = client.post(reverse("add_area", args=[job.pk]), {"name": "Loft", "level": "2"})
    assert response.url == reverse("survey", args=[job.pk]) + "#areas"
    assert Area.objects.get(job=job).level == 2


def test_an_area_is_added_by_a_fragment_without_the_whole_page(client, job):
    page = text(client.post(reverse("add_area", args=[job.pk]), {"name": "Loft", "level": "2"}, headers=FRAGMENT))
    assert page.startswith('<div id="survey"')
    assert "Loft" in page


@pytest.mark.parametrize("headers", [{}, FRAGMENT])
@pytest.mark.parametrize(
    "details", [{}, {"name": "", "level": "0"}, {"name": "Loft", "level": "99"}, {"name": "x\x00", "level": "1"}]
)
def test_an_area_is_refused_in_words_when_wrong(client, job, details, headers):
    response = client.post(reverse("add_area", args=[job.pk]), details, headers=headers)
    assert response.status_code == 422
    assert "errorlist" in text(response)


def test_a_name_that_is_taken_is_said_at_its_field(client, room):
    response = client.post(reverse("add_area", args=[room.job_id]), {"name": "ground FLOOR", "level": "0"}, headers=FRAGMENT)
    assert "in this house already" in text(response)


def test_a_room_is_added(client, room):
    client.post(reverse("add_room", args=[room.job_id]), room_details(room.area, length_metres="3.6", width_metres="4"))
    assert Room.objects.get(name="Kitchen").length_metres == Decimal("3.6")


@pytest.mark.parametrize(
    "changed",
    [
        {"kind": "ballroom"}, {"length_metres": "0"}, {"length_metres": "-2"}, {"width_metres": "NaN"}, {"height_metres": ""},
        {"grid_x_metres": "1e99"}, {"area": "999999"}, {"area": "x"}, {"name": "y" * 61},
    ],
)
def test_a_room_is_refused_in_words_when_wrong(client, room, changed):
    response = client.post(reverse("add_room", args=[room.job_id]), room_details(room.area, **changed), headers=FRAGMENT)
    assert response.status_code == 422
    assert "errorlist" in text(response)


def test_a_room_cannot_be_put_into_an_area_of_another_house(client, firm, room):
    other = make_area(make_job(firm))
    assert client.post(reverse("add_room", args=[room.job_id]), room_details(other)).status_code == 422


def test_a_room_is_changed_on_its_own_page(client, room):
    client.post(reverse("survey_room", args=[room.job_id, room.pk]), room_details(room.area, name="Parlour"))
    assert Room.objects.get(pk=room.pk).name == "Parlour"


def test_a_room_s_form_shows_what_is_stored(client, room):
    Room.objects.filter(pk=room.pk).update(wall_kind="lath")
    assert '<option value="lath" selected>' in text(client.get(reverse("survey_room", args=[room.job_id, room.pk])))


def test_the_form_for_points_opens_in_the_room_s_place(client, room):
    page = text(client.get(reverse("add_points", args=[room.job_id, room.pk]), headers=FRAGMENT))
    assert page.startswith(f'<article class="sheet stack survey-room" id="room-{room.pk}"')
    assert 'name="quantity"' in page


def test_points_are_added_by_a_fragment_and_the_form_is_ready_for_more(client, room, socket):
    response = client.post(
        reverse("add_points", args=[room.job_id, room.pk]), {"kind": socket.pk, "quantity": "3"}, headers=FRAGMENT
    )
    assert Point.objects.filter(room=room).count() == 3
    assert "3 ×" in text(response)
    assert 'name="quantity"' in text(response)


def test_points_are_added_without_scripts(client, room, socket):
    response = client.post(reverse("add_points", args=[room.job_id, room.pk]), {"kind": socket.pk, "quantity": "3"})
    assert response.url == reverse("survey_room", args=[room.job_id, room.pk]) + "#points"


@pytest.mark.parametrize("headers", [{}, FRAGMENT])
@pytest.mark.parametrize("quantity", ["0", "-1", "1.5", "201", "1" * 40, "many", ""])
def test_points_are_refused_in_words_when_their_number_makes_no_sense(client, room, socket, quantity, headers):
    response = client.post(
        reverse("add_points", args=[room.job_id, room.pk]), {"kind": socket.pk, "quantity": quantity}, headers=headers
    )
    assert response.status_code == 422
    assert not Point.objects.exists()


def test_points_of_another_firm_s_catalogue_are_no_choice(client, room):
    stranger = make_point_kind(make_firm("Other"))
    response = client.post(reverse("add_points", args=[room.job_id, room.pk]), {"kind": stranger.pk, "quantity": "1"})
    assert response.status_code == 422


def test_a_group_of_points_is_changed_on_its_page(client, room, socket):
    point = make_point(room, socket)
    address = reverse("change_points", args=[room.job_id, point.pk])
    assert 'value="1"' in text(client.get(address))
    client.post(address, {"kind": socket.pk, "quantity": "4", "label": "By the door"})
    assert Point.objects.filter(room=room, label="By the door").count() == 4


def test_a_circuit_is_added_and_changed(client, job):
    client.post(reverse("add_circuit", args=[job.pk]), {"reference": "R1", "name": "Sockets", "kind": "ring"})
    circuit = Circuit.objects.get(job=job)
    client.post(
        reverse("survey_circuit", args=[job.pk, circuit.pk]),
        {"reference": "R1", "name": "Sockets, ground floor", "kind": "ring", "cable_metres": "41.5"},
    )
    assert (Circuit.objects.get().name, Circuit.objects.get().cable_metres) == ("Sockets, ground floor", 41.5)


@pytest.mark.parametrize(("name", "model"), [("remove_area", Area), ("remove_room", Room)])
def test_what_is_not_begun_is_removed(client, room, name, model):
    row = room.area if model is Area else room
    client.post(reverse(name, args=[room.job_id, row.pk]))
    assert not model.objects.exists()


def test_what_has_begun_stays_and_says_so(client, office, room, socket):
    add_points(room=room, kind=socket, quantity=1, by=office)
    RoomTask.objects.filter(room=room, point_kind=socket).update(done_share=1)
    page = text(client.post(reverse("remove_room", args=[room.job_id, room.pk]), follow=True))
    assert "was ticked already" in page


def rows_of(job) -> dict[str, object]:
    room = make_room(make_area(job))
    circuit = make_circuit(job)
    point = make_point(room, make_point_kind(job.firm), circuit)
    return {
        "survey_area": room.area, "remove_area": room.area, "survey_room": room, "remove_room": room, "add_points": room,
        "change_points": point, "remove_points": point, "survey_circuit": circuit, "remove_circuit": circuit,
    }


def test_rows_of_another_firm_or_another_house_are_not_found(client, firm, job):
    for stranger in (make_job(make_firm("Other")), make_job(firm)):
        for name, row in rows_of(stranger).items():
            assert client.post(reverse(name, args=[job.pk, row.pk])).status_code == 404, name


@pytest.mark.parametrize("name", ["survey", "add_area", "add_room", "add_circuit"])
def test_a_survey_of_another_firm_is_not_found(client, name):
    address = reverse(name, args=[make_job(make_firm("Other")).pk])
    assert (client.get if name == "survey" else client.post)(address).status_code == 404


def test_crew_may_not_change_a_survey(client, firm, job):
    client.force_login(make_crew_user(make_person(firm)))
    assert client.post(reverse("add_area", args=[job.pk]), {"name": "Loft", "level": "2"}).status_code == 403


@pytest.mark.parametrize("name", ["add_area", "add_room", "add_circuit"])
def test_nothing_is_added_by_following_a_link(client, job, name):
    assert client.get(reverse(name, args=[job.pk])).status_code == 405


def test_a_closed_job_s_survey_says_why_it_cannot_change(client, firm):
    job = make_job(firm, state="handed_over")
    response = client.post(reverse("add_area", args=[job.pk]), {"name": "Loft", "level": "2"}, headers=FRAGMENT)
    assert "Take it up again" in text(response)


@pytest.mark.parametrize("value", ["9" * 40, "-1", "\x00", "½", "1; DROP"])
def test_a_choice_that_makes_no_sense_is_refused_in_words(client, room, value):
    details = {"kind": value, "circuit": value, "quantity": "1", "height_mm": value}
    response = client.post(reverse("add_points", args=[room.job_id, room.pk]), details)
    assert response.status_code == 422


def test_a_number_that_no_row_can_have_is_not_found(client, room):
    assert client.get(reverse("survey", args=[10**30])).status_code == 404
    assert client.get(reverse("survey_room", args=[room.job_id, 10**30])).status_code == 404

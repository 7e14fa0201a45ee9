import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import survey
from jobs.actions.permission import Refused
from jobs.models import Area, Circuit, Job, Point, PointKind, Room, RoomTask, WorkPackage
from tests.factories import (
    TODAY,
    make_area,
    make_circuit,
    make_firm,
    make_job,
    make_office,
    make_point_kind,
    make_room,
    make_visit,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def job(firm):
    return make_job(firm)


@pytest.fixture
def room(job):
    return make_room(make_area(job), "Front room", "lounge")


@pytest.fixture
def socket(firm):
    return PointKind.objects.get(firm=firm, code="double-socket")


@pytest.fixture
def light(firm):
    return PointKind.objects.get(firm=firm, code="ceiling-light")


def tick(room: Room, kind: PointKind) -> None:
    assert RoomTask.objects.filter(room=room, point_kind=kind).update(done_share=1)


def test_areas_are_put_behind_one_another(job, office):
    first = survey.add_area(job=job, details={"name": "Ground floor", "level": 0}, by=office)
    second = survey.add_area(job=job, details={"name": "First floor", "level": 1}, by=office)
    assert first.position < second.position


@pytest.mark.parametrize("name", ["Ground floor", "GROUND floor"])
def test_an_area_is_refused_when_the_house_has_it_already(job, office, name):
    make_area(job, "Ground floor")
    with pytest.raises(Refused, match="already"):
        survey.add_area(job=job, details={"name": name, "level": 0}, by=office)


def test_an_area_keeps_its_rooms_when_renamed(room, office):
    survey.edit_area(area=room.area, details={"name": "Downstairs"}, by=office)
    assert Room.objects.get(pk=room.pk).area.name == "Downstairs"


def test_an_area_goes_with_its_rooms_when_nothing_was_begun(room, office):
    survey.remove_area(area=room.area, by=office)
    assert not Room.objects.exists()


def test_an_area_stays_when_a_trade_was_told_a_date_in_it(job, room, office):
    make_visit(job, area=room.area, state="asked", starts_on=TODAY)
    with pytest.raises(Refused, match="was told a date"):
        survey.remove_area(area=room.area, by=office)


def test_points_make_a_programme(room, socket, office):
    survey.add_points(room=room, kind=socket, quantity=3, by=office)
    assert Point.objects.filter(room=room).count() == 3
    assert RoomTask.objects.filter(room=room, point_kind=socket, point_count=3).exists()


@pytest.mark.parametrize("quantity", [0, -1, 201])
def test_points_are_refused_when_their_number_makes_no_sense(room, socket, office, quantity):
    with pytest.raises(Refused, match="from 1 to 200"):
        survey.add_points(room=room, kind=socket, quantity=quantity, by=office)


def test_points_are_refused_on_a_circuit_of_another_house(firm, room, socket, office):
    with pytest.raises(Refused, match="another house"):
        survey.add_points(room=room, kind=socket, quantity=1, circuit=make_circuit(make_job(firm)), by=office)


def test_points_of_another_firm_s_catalogue_are_refused(room, office):
    with pytest.raises(PermissionDenied):
        survey.add_points(room=room, kind=make_point_kind(make_firm("Other")), quantity=1, by=office)


@pytest.mark.parametrize("quantity", [1, 2, 5])
def test_a_group_of_points_has_as_many_as_it_was_changed_to(room, socket, office, quantity):
    point = survey.add_points(room=room, kind=socket, quantity=3, by=office)[0]
    survey.change_points(point=point, kind=socket, quantity=quantity, label="By the door", by=office)
    assert Point.objects.filter(room=room, label="By the door").count() == quantity == Point.objects.count()


def test_only_equal_points_change_together(room, socket, office):
    survey.add_points(room=room, kind=socket, quantity=2, label="Left", by=office)
    point = survey.add_points(room=room, kind=socket, quantity=2, label="Right", by=office)[0]
    survey.remove_points(point=point, by=office)
    assert set(Point.objects.values_list("label", flat=True)) == {"Left"}


def test_points_are_dropped_and_not_deleted_when_work_on_them_has_begun(room, socket, office):
    point = survey.add_points(room=room, kind=socket, quantity=2, by=office)[0]
    tick(room, socket)
    survey.change_points(point=point, kind=socket, quantity=1, by=office)
    assert sorted(Point.objects.values_list("is_dropped", flat=True)) == [False, True]


def test_ticked_points_are_dropped_when_their_kind_changes(room, socket, light, office):
    point = survey.add_points(room=room, kind=socket, quantity=1, by=office)[0]
    tick(room, socket)
    survey.change_points(point=point, kind=light, quantity=1, by=office)
    assert set(Point.objects.values_list("kind__code", "is_dropped")) == {
        ("double-socket", True), ("ceiling-light", False),
    }


def test_a_room_stays_when_something_in_it_was_ticked(room, socket, office):
    survey.add_points(room=room, kind=socket, quantity=2, by=office)
    tick(room, socket)
    with pytest.raises(Refused, match="was ticked already"):
        survey.remove_room(room=room, by=office)


def test_the_programme_goes_when_the_last_room_goes(room, socket, office):
    survey.add_points(room=room, kind=socket, quantity=2, by=office)
    survey.remove_room(room=room, by=office)
    assert not WorkPackage.objects.exists()


def test_a_room_moves_to_another_area_of_its_house_only(firm, job, room, office):
    survey.edit_room(room=room, details={"area": make_area(job, "First floor")}, by=office)
    assert Room.objects.get(pk=room.pk).area.name == "First floor"
    with pytest.raises(Refused, match="another house"):
        survey.edit_room(room=room, details={"area": make_area(make_job(firm))}, by=office)


def test_a_room_is_refused_when_the_house_has_one_of_its_name(job, room, office):
    with pytest.raises(Refused, match="already"):
        survey.add_room(job=job, details={"area": room.area, "name": "front ROOM", "kind": "lounge"}, by=office)


def test_a_circuit_is_refused_when_its_reference_is_taken(job, office):
    make_circuit(job, "R1")
    with pytest.raises(Refused, match="already"):
        survey.add_circuit(job=job, details={"reference": "r1", "name": "Sockets", "kind": "ring"}, by=office)


def test_a_circuit_stays_while_points_hang_on_it(room, socket, office):
    circuit = survey.add_circuit(job=room.job, details={"reference": "R1", "name": "Sockets", "kind": "ring"}, by=office)
    survey.add_points(room=room, kind=socket, quantity=2, circuit=circuit, by=office)
    with pytest.raises(Refused, match="2 points are on R1"):
        survey.remove_circuit(circuit=circuit, by=office)


def test_a_circuit_goes_when_nothing_hangs_on_it(job, office):
    survey.remove_circuit(circuit=make_circuit(job), by=office)
    assert not Circuit.objects.exists()


@pytest.mark.parametrize("state", [Job.State.HANDED_OVER, Job.State.DROPPED])
def test_a_survey_is_closed_when_its_job_is(firm, office, state):
    with pytest.raises(Refused, match="Take it up again"):
        survey.add_area(job=make_job(firm, state=state), details={"name": "Loft", "level": 2}, by=office)


def test_another_firm_s_office_may_not_touch_a_survey(room):
    with pytest.raises(PermissionDenied):
        survey.remove_area(area=room.area, by=make_office(make_firm("Other")))
    assert Area.objects.exists()

import uuid

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.operations import apply_operation
from jobs.actions.permission import Refused
from jobs.actions.programme import make_programme
from jobs.actions.variations import accept_variation, decline_variation
from jobs.models import Job, Point, PointKind, RoomTask, Variation, WorkPackage
from jobs.queries.takeoff import load_takeoff
from jobs.queries.variations import load_variations
from tests.factories import (
    NOW,
    make_area,
    make_circuit,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_person,
    make_point,
    make_room,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    firm = make_firm(with_catalogue=True)
    room = make_room(make_area(make_job(firm, state=Job.State.ON_SITE)), "Kitchen")
    make_point(room, PointKind.objects.get(firm=firm, code="double-socket"), make_circuit(room.job))
    make_programme(job=room.job, by=make_office(firm))
    return room


@pytest.fixture
def crew(room):
    return make_crew_user(make_person(room.firm, "Priya"))


@pytest.fixture
def office(room):
    return make_office(room.firm)


def report(user, room, **changes: object):
    value = {"point_kind": "double-socket", "quantity": 2, "circuit": "R1", "label": "by the window", "height_mm": "450"}
    body = {
        "op_id": str(uuid.uuid4()), "kind": "found", "item": str(room.uid), "value": value | {"words": ""} | changes,
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }
    return apply_operation(user=user, body=body, now=NOW)


def labour(job) -> object:
    return load_takeoff(job).labour_hours


def test_found_point_waits_and_changes_nothing(crew, room):
    before = labour(room.job)

    assert report(crew, room).status == 200

    assert (Variation.objects.get().state, Point.objects.count()) == (Variation.State.WAITING, 1)
    assert labour(room.job) == before


def test_effect_is_what_accepting_adds_to_the_take_off(crew, office, room):
    report(crew, room)
    before, takeoff = load_variations(room.job)[0].effect, load_takeoff(room.job)

    accept_variation(variation=Variation.objects.get(), by=office, now=NOW)

    after = load_takeoff(room.job)
    assert before.labour_hours == after.labour_hours - takeoff.labour_hours > 0
    had = {row.item: row.quantity for row in takeoff.materials}
    assert dict(before.materials) == {
        row.item: row.quantity - had.get(row.item, 0) for row in after.materials if row.quantity != had.get(row.item, 0)
    }


def test_accepted_points_enter_the_survey_and_the_programme(crew, office, room):
    report(crew, room)

    accept_variation(variation=Variation.objects.get(), by=office, now=NOW)

    assert Point.objects.filter(room=room, label="by the window", height_mm=450, circuit__reference="R1").count() == 2
    assert sum(RoomTask.objects.filter(package__stage="first_fix").values_list("point_count", flat=True)) == 3


def test_declined_points_stay_out_and_on_record(crew, office, room):
    report(crew, room)

    declined = decline_variation(variation=Variation.objects.get(), by=office, now=NOW)

    assert (declined.state, declined.answered_by, Point.objects.count()) == (Variation.State.DECLINED, office, 1)
    assert load_variations(room.job)[0].effect is None


def test_answer_is_given_once(crew, office, room):
    report(crew, room)
    accept_variation(variation=Variation.objects.get(), by=office, now=NOW)

    with pytest.raises(Refused, match="answered before"):
        accept_variation(variation=Variation.objects.get(), by=office, now=NOW)
    assert Point.objects.count() == 3


def test_found_point_is_refused_when_the_catalogue_does_not_know_its_kind(crew, room):
    assert report(crew, room, point_kind="time-machine").status == 409
    assert not Variation.objects.exists()


def test_circuit_is_left_to_the_office_when_it_is_of_another_house(crew, room):
    make_circuit(make_job(room.firm), "R9")

    report(crew, room, circuit="R9")

    assert Variation.objects.get().circuit is None


def test_crew_and_other_firms_answer_nothing(crew, room):
    report(crew, room)
    hours = WorkPackage.objects.first().labour_hours

    for user in (crew, make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            accept_variation(variation=Variation.objects.get(), by=user, now=NOW)
    assert WorkPackage.objects.first().labour_hours == hours

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError

from jobs.actions.go_ahead import give_go_ahead
from jobs.actions.operations import apply_operation
from jobs.actions.permission import Refused
from jobs.actions.readings import Taken, record_readings
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.models import Booking, GoAhead, Notice, OutboxEntry, Photo, Plan, RoomTask, Visit
from jobs.queries.go_ahead import NOTHING_ASKED, list_overrides, load_gate
from jobs.queries.hold_points import load_awaiting
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_circuit,
    make_contact,
    make_crew_user,
    make_firm,
    make_instrument,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_point,
    make_point_kind,
    make_room,
    make_visit,
    make_visit_kind,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def area(firm):
    return make_area(make_job(firm, "Mill Cottage"))


@pytest.fixture
def visit(firm, area):
    kind = make_visit_kind(firm, name="Plastering", covers_up=True)
    return make_visit(area.job, make_contact(firm, name="Pat"), kind, area=area, state=Visit.State.ACCEPTED, starts_on=TODAY)


@pytest.fixture
def photos(area):
    room = make_room(area, "Kitchen")
    return RoomTask.objects.create(
        firm=area.firm, package=make_package(area), room=room, code="check:F8", text="Photos", is_hold_point=True
    )


def record(task: RoomTask) -> None:
    """Ticked, with a photo of its room."""
    RoomTask.objects.filter(pk=task.pk).update(done_share=1)
    by = make_office(task.firm)
    Photo.objects.create(
        firm=task.firm, room=task.room, stage="first_fix", sha256="a" * 64, width_px=1, height_px=1, made_by=by, taken_at=NOW
    )


def make_booking(plan: Plan, person, package) -> Booking:
    return Booking.objects.create(
        firm=plan.firm, plan=plan, person=person, package=package, on=TODAY, half="am", hours=4
    )


def measure(point, by) -> None:
    value = {"wall_1": "A", "from_1_mm": 800, "wall_2": "D", "from_2_mm": 1200}
    body = {
        "op_id": str(uuid4()), "kind": "measure", "item": str(point.uid), "value": value,
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }
    assert apply_operation(user=by, body=body, now=NOW).result == "applied"


def give(visit: Visit, by, reason: str = "", **fields: object) -> GoAhead:
    return give_go_ahead(visit=visit, by=by, override_reason=reason, now=fields.get("now", NOW))


def test_trade_is_told_once_everything_is_recorded(visit, office, photos):
    record(photos)

    given = give(visit, office)

    assert (given.missing, given.override_reason, given.notice.contact) == ([], "", visit.contact)
    assert "Plastering, Ground floor, Mill Cottage: you have our go-ahead from Tue 12 January" in given.notice.lines[0]
    assert OutboxEntry.objects.filter(key=f"notice:{given.notice_id}").exists()


def test_go_ahead_is_refused_naming_room_and_line_when_something_is_missing(visit, office, photos):
    with pytest.raises(Refused, match="Kitchen: Photos"):
        give(visit, office)

    assert not GoAhead.objects.exists()
    assert not Notice.objects.exists()


def test_go_ahead_is_refused_naming_room_and_person_until_every_ceiling_centre_is_measured(visit, office, area, photos):
    record(photos)
    point = make_point(photos.room, make_point_kind(area.firm, name="Fan", is_ceiling=True))
    ifan = make_person(area.firm, "Ifan")
    make_booking(make_plan(area.firm, Plan.State.ISSUED), ifan, photos.package)
    with pytest.raises(Refused, match=r"Kitchen: centre not measured, Fan \(Ifan\)"):
        give(visit, office)

    measure(point, make_crew_user(ifan))

    assert give(visit, office).missing == []


def test_override_keeps_person_reason_and_what_was_missing(visit, office, photos):
    given = give(visit, office, "  Photos are on paper ")

    assert (given.given_by, given.override_reason, given.missing) == (office, "Photos are on paper", ["Kitchen: Photos"])
    assert list_overrides(visit.job) == [given]


def test_override_is_needed_when_no_hold_point_was_ever_asked_for(visit, office):
    with pytest.raises(Refused, match="No hold point"):
        give(visit, office)

    assert give(visit, office, "Nothing of ours in there").missing == [NOTHING_ASKED]


def test_blank_reason_is_no_reason(visit, office, photos):
    with pytest.raises(Refused):
        give(visit, office, " \n ")


def test_visit_waits_no_longer_when_its_contact_has_the_go_ahead(visit, office, photos):
    assert load_awaiting([visit]) == {visit.pk}

    give(visit, office, "Photos are on paper")

    assert load_awaiting([visit]) == set()


def test_go_ahead_does_not_stand_for_another_contact(visit, office, photos):
    give(visit, office, "Photos are on paper")
    visit.contact = make_contact(visit.firm, name="Sam")
    visit.save()

    assert load_awaiting([visit]) == {visit.pk}
    assert load_gate(visit).given is None


def test_go_ahead_is_given_once_for_the_same_state(visit, office, photos):
    record(photos)
    give(visit, office)

    with pytest.raises(Refused, match="already"):
        give(visit, office)


def test_full_go_ahead_can_follow_an_override(visit, office, photos):
    give(visit, office, "Photos are on paper")
    record(photos)

    assert give(visit, office, now=NOW + timedelta(hours=1)).missing == []


@pytest.mark.parametrize(
    "fields", [{"state": Visit.State.PENCILLED}, {"state": Visit.State.DECLINED}, {"state": Visit.State.DONE}, {"contact": None}]
)
def test_go_ahead_is_refused_when_nobody_is_coming(visit, office, photos, fields):
    record(photos)
    Visit.objects.filter(pk=visit.pk).update(**fields)

    with pytest.raises(Refused):
        give(visit, office)


def test_go_ahead_is_refused_when_the_visit_covers_nothing(visit, office):
    visit.kind.covers_up = False
    visit.kind.save()

    with pytest.raises(Refused, match="covers nothing"):
        give(visit, office)


def test_crew_and_other_firms_cannot_give_it(visit, firm, photos):
    for user in (make_crew_user(make_person(firm)), make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            give(visit, user, "I say so")


def test_go_ahead_is_never_edited(visit, office, photos):
    give(visit, office, "Photos are on paper")

    with pytest.raises(DatabaseError):
        GoAhead.objects.update(override_reason="")


@pytest.fixture
def ring(photos):
    """A ring with a socket in the kitchen, which asks for dead tests and has all else recorded."""
    record(photos)
    fields = {"firm": photos.firm, "package": photos.package, "room": photos.room, "is_hold_point": True, "done_share": 1}
    RoomTask.objects.create(code="check:F9", text="Dead tests", **fields)
    circuit = make_circuit(photos.room.job)
    make_point(photos.room, make_point_kind(photos.firm), circuit)
    return circuit


DEAD_TESTS = {
    Measure.RING_R1: "0.44", Measure.RING_RN: "0.45", Measure.RING_R2: "0.72", Measure.R1_R2: "0.29", Measure.IR_LIVE: ">200",
    Measure.IR_EARTH: ">200", Measure.POLARITY: "ok",
}


def dead_test(circuit, office, **changes: str) -> None:
    firm = circuit.firm
    taken = Taken(WhenTested.FIRST_FIX, make_person(firm, may_test=True), NOW, make_instrument(firm))
    record_readings(circuit=circuit, written=DEAD_TESTS | changes, taken=taken, by=office, now=NOW)


def test_go_ahead_is_refused_naming_room_and_circuit_when_dead_tests_are_missing(visit, office, ring):
    with pytest.raises(Refused, match="Kitchen: no dead-test readings of R1"):
        give(visit, office)

    assert load_awaiting([visit]) == {visit.pk}


def test_go_ahead_is_refused_saying_what_failed_when_a_dead_test_is_out(visit, office, ring):
    dead_test(ring, office, **{Measure.IR_EARTH: "0.2"})

    with pytest.raises(Refused, match="dead tests of R1: Insulation, live to earth: outside the limit"):
        give(visit, office)


def test_trade_is_told_when_every_circuit_of_the_rooms_is_dead_tested(visit, office, ring):
    dead_test(ring, office)

    assert give(visit, office).missing == []


def test_dead_tests_are_not_asked_when_their_line_is_not_needed(visit, office, ring):
    RoomTask.objects.filter(code="check:F9").update(not_needed="Only old cable in here")

    assert load_gate(visit).words == []


def test_override_keeps_what_was_not_tested_when_a_reason_is_given(visit, office, ring):
    given = give(visit, office, "Tested, sheet left in the van")

    assert given.missing == ["Kitchen: no dead-test readings of R1"]


def test_go_ahead_is_refused_when_photos_were_ticked_and_none_is_stored(visit, office, photos):
    RoomTask.objects.filter(pk=photos.pk).update(done_share=1)
    with pytest.raises(Refused, match="Kitchen: photos ticked, none stored"):
        give(visit, office)

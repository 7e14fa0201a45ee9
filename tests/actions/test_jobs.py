from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.jobs import add_job, edit_job, hand_over, move_job
from jobs.actions.permission import Refused
from jobs.actions.readings import Taken, record_readings, record_supply
from jobs.actions.survey import add_area, add_points, add_room
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.models import Job, PointKind, RoomTask, WorkPackage
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
    make_person,
    make_room,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def surveyed(firm, office):
    """A job of one bedroom with two double sockets, and its programme."""
    job = make_job(firm)
    area = add_area(job=job, details={"name": "Ground floor", "level": 0}, by=office)
    room = add_room(job=job, details={"area": area, "name": "Bedroom", "kind": "bedroom"}, by=office)
    add_points(room=room, kind=PointKind.objects.get(firm=firm, code="double-socket"), quantity=2, by=office)
    return job


def test_a_job_is_added_to_the_firm(firm, office):
    job = add_job(firm=firm, details={"name": "9 Mill Row"}, by=office)
    assert (job.firm, job.state) == (firm, Job.State.SURVEYED)


def test_a_job_is_refused_when_another_has_its_name_in_other_letters(firm, office):
    make_job(firm, "9 Mill Row")
    with pytest.raises(Refused, match="already"):
        add_job(firm=firm, details={"name": "9 MILL row"}, by=office)


def test_a_name_is_free_when_only_another_firm_uses_it(firm, office):
    make_job(make_firm("Other"), "9 Mill Row")
    assert add_job(firm=firm, details={"name": "9 Mill Row"}, by=office).pk


def test_a_job_is_refused_when_its_customer_is_another_firm_s(firm, office):
    with pytest.raises(PermissionDenied):
        add_job(firm=firm, details={"name": "Mill", "customer": make_contact(make_firm("Other"))}, by=office)


def test_a_crew_member_may_not_add_a_job(firm):
    with pytest.raises(PermissionDenied):
        add_job(firm=firm, details={"name": "Mill"}, by=make_crew_user(make_person(firm)))


def test_a_promise_is_refused_when_it_lies_before_the_start(firm, office):
    with pytest.raises(Refused, match="before the earliest start"):
        edit_job(
            job=make_job(firm), by=office,
            details={"earliest_start_on": TODAY, "promised_finish_on": TODAY - timedelta(days=1)},
        )


def test_hours_rise_when_the_house_turns_out_to_be_lived_in(surveyed, office):
    before = WorkPackage.objects.get(job=surveyed, stage="first_fix").labour_hours
    edit_job(job=surveyed, details={"is_occupied": True}, by=office)
    assert WorkPackage.objects.get(job=surveyed, stage="first_fix").labour_hours > before


def test_a_job_is_booked_when_it_has_rooms(surveyed, office):
    assert move_job(job=surveyed, state=Job.State.BOOKED, by=office).state == Job.State.BOOKED


def test_a_job_is_not_booked_when_nothing_was_surveyed(firm, office):
    with pytest.raises(Refused, match="no rooms yet"):
        move_job(job=make_job(firm), state=Job.State.BOOKED, by=office)


def test_a_step_is_refused_when_the_job_has_moved_on_meanwhile(firm, office):
    job = make_job(firm, state=Job.State.HANDED_OVER)
    with pytest.raises(Refused, match="handed over now"):
        move_job(job=job, state=Job.State.BOOKED, by=office)


def test_a_job_is_handed_over_when_every_line_is_done(surveyed, office):
    Job.objects.filter(pk=surveyed.pk).update(state=Job.State.ON_SITE)
    RoomTask.objects.filter(package__job=surveyed).update(done_share=1)
    job = hand_over(job=surveyed, finished_on=TODAY, today=TODAY, by=office)
    assert (job.state, job.finished_on) == (Job.State.HANDED_OVER, TODAY)


@pytest.fixture
def with_circuit(surveyed):
    """Every line ticked; one light on a circuit nobody has tested."""
    circuit = make_circuit(surveyed, "L1", "lighting", name="Lights", device="RCBO type A, B curve", device_rating_amps=6)
    surveyed.points.update(circuit=circuit)
    Job.objects.filter(pk=surveyed.pk).update(state=Job.State.ON_SITE)
    RoomTask.objects.filter(package__job=surveyed).update(done_share=1)
    return circuit


def test_a_job_is_not_handed_over_while_readings_are_missing(surveyed, office, with_circuit):
    with pytest.raises(Refused, match="Readings at the end are missing or out: Supply: Ze.*; and 1 more") as refused:
        hand_over(job=surveyed, finished_on=TODAY, today=TODAY, by=office)

    assert refused.value.field == "open_readings_reason"


def test_reason_is_kept_with_name_and_circuits_when_readings_are_missing(surveyed, office, with_circuit):
    reason = "Operator comes Friday"
    job = hand_over(job=surveyed, finished_on=TODAY, today=TODAY, by=office, open_readings_reason=reason)

    assert job.open_readings_reason.startswith("Operator comes Friday (Olwen; Supply: ")
    assert "; L1: " in job.open_readings_reason


def test_a_job_is_handed_over_without_a_reason_when_every_circuit_reads_well(surveyed, office, with_circuit):
    written = {
        Measure.R1_R2: "0.4", Measure.IR_LIVE: ">200", Measure.IR_EARTH: ">200", Measure.POLARITY: "ok", Measure.ZS: "0.8",
        Measure.RCD_TIME: "24", Measure.RCD_BUTTON: "ok", Measure.FUNCTIONAL: "ok",
    }
    taken = Taken(WhenTested.END, make_person(surveyed.firm, may_test=True), NOW, make_instrument(surveyed.firm))
    record_readings(circuit=with_circuit, written=written, taken=taken, by=office, now=NOW)
    at_origin = {SupplyMeasure.ZE: "0.31", SupplyMeasure.FAULT: "1.2", SupplyMeasure.POLARITY: "ok"}
    record_supply(job=surveyed, written=at_origin, taken=taken, by=office, now=NOW)

    assert hand_over(job=surveyed, finished_on=TODAY, today=TODAY, by=office).open_readings_reason == ""


def test_a_job_is_not_handed_over_while_a_line_is_open(surveyed, office):
    Job.objects.filter(pk=surveyed.pk).update(state=Job.State.ON_SITE)
    tasks = RoomTask.objects.filter(package__job=surveyed)
    tasks.exclude(pk=tasks.first().pk).update(done_share=1)
    with pytest.raises(Refused, match="1 line is not ticked yet"):
        hand_over(job=surveyed, finished_on=TODAY, today=TODAY, by=office)


@pytest.mark.parametrize(
    ("state", "finished_on", "words"),
    [(Job.State.BOOKED, TODAY, "on site"), (Job.State.ON_SITE, date(2099, 1, 1), "cannot lie ahead")],
)
def test_handing_over_is_refused_when_too_early(firm, office, state, finished_on, words):
    with pytest.raises(Refused, match=words):
        hand_over(job=make_job(firm, state=state), finished_on=finished_on, today=TODAY, by=office)


def test_a_handed_over_job_can_be_taken_up_again(firm, office):
    job = make_job(firm, state=Job.State.HANDED_OVER, finished_on=TODAY)
    make_room(make_area(job))
    assert move_job(job=job, state=Job.State.ON_SITE, by=office).finished_on is None

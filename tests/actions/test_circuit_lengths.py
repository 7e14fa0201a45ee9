from decimal import Decimal as D

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.db.models import Sum

from jobs.actions.circuit_lengths import correct_length, take_back_length
from jobs.actions.permission import Refused
from jobs.actions.programme import take_off_again
from jobs.actions.survey import add_points, edit_circuit
from jobs.actions.survey_import import import_survey
from jobs.models import Circuit, Item, Job, LengthCorrection, MaterialNeed, PointKind
from jobs.queries.cut_sheets import load_quick_sheets
from jobs.queries.survey import load_draft
from jobs.queries.takeoff import load_takeoff
from tests.factories import NOW, make_firm, make_office

pytestmark = pytest.mark.django_db


def _correct(house, metres="60", reason="Round the chimney"):
    return correct_length(circuit=house.ring, cable_metres=D(metres), reason=reason, by=house.office, now=NOW)


def _counted(house, reference="R1"):
    job = Job.objects.get(pk=house.job.pk)
    return next(row.line for row in load_takeoff(job).cables if row.line.circuit.reference == reference)


def test_corrected_length_counts_beside_the_one_worked_out_when_given(house):
    had = _counted(house).metres
    _correct(house)
    line = _counted(house)
    assert (line.metres, line.basis.value) == (60, "corrected")
    assert (line.worked_out[0], line.worked_out[1].value) == (had, "route")


def test_stores_need_the_corrected_length_when_given(house):
    _correct(house)
    needs = MaterialNeed.objects.filter(package__job=house.job, item__code="cable-2.5-2c")
    assert needs.aggregate(Sum("quantity"))["quantity__sum"] == 60


def test_cut_list_cuts_the_corrected_length_when_given(house):
    _correct(house)
    (sheet,) = [sheet for sheet in load_quick_sheets(house.job) if sheet.item.code == "cable-2.5-2c"]
    assert [run.metres for run in sheet.request.runs] == [60]
    assert sheet.estimated == 0


def test_correction_stays_when_points_are_added_and_recipes_renewed(house):
    _correct(house)
    socket = PointKind.objects.get(firm=house.firm, code="double-socket")
    add_points(room=house.hall, kind=socket, quantity=2, circuit=house.ring, by=house.office)
    take_off_again(job=house.job, by=house.office)
    assert _counted(house).metres == 60


def test_correction_stays_when_a_file_replaces_the_survey(house):
    _correct(house)
    import_survey(job=house.job, draft=load_draft(house.job), by=house.office, replaces=True)
    assert _counted(house).metres == 60


def test_correction_goes_along_when_a_circuit_is_called_otherwise(house):
    _correct(house)
    edit_circuit(circuit=Circuit.objects.get(pk=house.ring.pk), details={"reference": "R9"}, by=house.office)
    assert _counted(house, "R9").metres == 60
    assert LengthCorrection.objects.filter(circuit_reference="R1").last().cable_metres is None


def test_correction_stays_with_its_circuit_when_a_new_name_is_taken(house):
    _correct(house)
    with pytest.raises(Refused):
        edit_circuit(circuit=Circuit.objects.get(pk=house.ring.pk), details={"reference": "L1"}, by=house.office)
    assert _counted(house).metres == 60


def test_length_is_worked_out_again_when_a_correction_is_taken_back(house):
    had = _counted(house).metres
    _correct(house)
    take_back_length(circuit=house.ring, by=house.office, now=NOW)
    assert _counted(house).metres == had
    assert LengthCorrection.objects.count() == 2


def test_taking_back_is_refused_when_nothing_is_corrected(house):
    with pytest.raises(Refused):
        take_back_length(circuit=house.ring, by=house.office, now=NOW)


@pytest.mark.parametrize(("metres", "reason"), [("0", "why"), ("2001", "why"), ("5", "  ")])
def test_correction_is_refused_when_it_cannot_be(house, metres, reason):
    with pytest.raises(Refused):
        _correct(house, metres, reason)


def test_correction_is_refused_when_the_job_is_closed(house):
    Job.objects.filter(pk=house.job.pk).update(state=Job.State.HANDED_OVER)
    with pytest.raises(Refused):
        _correct(house)


def test_correction_is_not_for_others_when_a_firm_is_strange(house):
    with pytest.raises(PermissionDenied):
        correct_length(circuit=house.ring, cable_metres=D(5), reason="x", by=make_office(make_firm("Other")), now=NOW)


def test_correction_cannot_be_edited_when_kept(house):
    row = _correct(house)
    with pytest.raises(IntegrityError), transaction.atomic():
        LengthCorrection.objects.filter(pk=row.pk).update(cable_metres=1)


def _correct_drops(house, metres="14"):
    return correct_length(
        circuit=house.lights, branch_cable=_three_core(house), cable_metres=D(metres), reason="Switches moved",
        by=house.office, now=NOW,
    )


def _three_core(house):
    return Item.objects.get(firm=house.firm, code="cable-1.5-3c")


def _drops(house, reference="L1"):
    line = _counted(house, reference)
    return sum(branch.metres for branch in line.branches if branch.cable == "cable-1.5-3c")


def test_corrected_switch_drops_count_beside_their_circuits_own_cable_when_given(house):
    own = _counted(house, "L1").metres
    _correct_drops(house)
    assert (_drops(house), _counted(house, "L1").metres) == (14, own)


def test_stores_need_the_corrected_switch_drops_when_given(house):
    _correct_drops(house)
    needs = MaterialNeed.objects.filter(package__job=house.job, item__code="cable-1.5-3c")
    assert needs.aggregate(Sum("quantity"))["quantity__sum"] == 14


def test_corrected_switch_drops_stay_when_points_are_added_and_the_survey_is_replaced(house):
    _correct_drops(house)
    switch = PointKind.objects.get(firm=house.firm, code="switch-one-way")
    add_points(room=house.hall, kind=switch, quantity=1, circuit=house.lights, by=house.office)
    import_survey(job=house.job, draft=load_draft(house.job), by=house.office, replaces=True)
    assert _drops(house) == 14


def test_corrected_switch_drops_go_along_when_their_circuit_is_called_otherwise(house):
    _correct_drops(house)
    correct_length(circuit=house.lights, cable_metres=D(31), reason="Seen", by=house.office, now=NOW)
    edit_circuit(circuit=Circuit.objects.get(pk=house.lights.pk), details={"reference": "L9"}, by=house.office)
    assert (_drops(house, "L9"), _counted(house, "L9").metres) == (14, 31)


def test_switch_drops_are_worked_out_again_when_their_correction_is_taken_back(house):
    had = _drops(house)
    _correct_drops(house)
    take_back_length(circuit=house.lights, branch_cable=_three_core(house), by=house.office, now=NOW)
    assert _drops(house) == had


def test_switch_drops_are_refused_when_a_circuit_has_none(house):
    with pytest.raises(Refused, match="branches off R1"):
        correct_length(
            circuit=house.ring, branch_cable=_three_core(house), cable_metres=D(5), reason="x", by=house.office, now=NOW
        )


def test_cut_list_cuts_the_corrected_switch_drops_when_given(house):
    _correct_drops(house)
    (sheet,) = [sheet for sheet in load_quick_sheets(house.job) if sheet.item.code == "cable-1.5-3c"]
    assert [(run.reference, run.metres) for run in sheet.request.runs] == [("L1 Lounge", 14)]
    assert (sheet.asked, sheet.estimated) == (1, 0)

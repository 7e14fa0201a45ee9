from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction

from jobs.actions.operations import apply_operation
from jobs.actions.permission import Refused
from jobs.actions.readings import Taken, moment_of, record_readings
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.models import Circuit, Job, Reading, SiteOperation
from jobs.queries.readings import find_standing, load_sheets
from tests.factories import (
    NOW,
    TODAY,
    make_circuit,
    make_crew_user,
    make_firm,
    make_instrument,
    make_job,
    make_office,
    make_person,
)

pytestmark = pytest.mark.django_db
AT = NOW.isoformat()


@pytest.fixture
def tester(firm):
    return make_person(firm, "Priya", may_test=True)


@pytest.fixture
def phone(tester):
    return make_crew_user(tester)


@pytest.fixture
def tool(firm):
    return make_instrument(firm)


@pytest.fixture
def circuit(firm):
    return make_circuit(make_job(firm, "Mill Row", state=Job.State.ON_SITE), "L1", "lighting", name="Lights")


@pytest.fixture
def record(circuit, tester, tool, phone):
    def record(written, when=WhenTested.FIRST_FIX, user=None, **taken):
        taken = Taken(when, **({"by": tester, "at": NOW, "instrument": tool} | taken))
        return record_readings(circuit=circuit, written=written, taken=taken, by=user or phone, now=NOW)

    return record


def test_readings_are_kept_as_written_when_somebody_tests(record, tool):
    row, _ = record({Measure.R1_R2: "0,35 ohm", Measure.IR_EARTH: ">200", Measure.POLARITY: " "})

    assert (row.text, row.state, str(row.amount)) == ("0,35 ohm", "value", "0.350000")
    assert (row.calibrated_on, row.calibration_due_on) == (tool.calibrated_on, tool.due_on)
    assert list(Reading.objects.values_list("measure", "test_volts")) == [("r1_r2", None), ("ir_earth", 500)]


def test_correction_is_a_new_row_naming_the_old_when_a_measure_is_written_again(record, circuit):
    old, = record({Measure.R1_R2: "3.5"})
    new, = record({Measure.R1_R2: "0.35"}, at=NOW + timedelta(hours=1))

    assert new.corrects == old
    assert find_standing(circuit, WhenTested.FIRST_FIX, Measure.R1_R2) == new


def test_later_reading_stands_when_an_earlier_one_arrives_after_it(record, circuit):
    stands, = record({Measure.R1_R2: "0.35"})
    late, = record({Measure.R1_R2: "0.30"}, at=NOW - timedelta(hours=1))

    assert late.corrects is None
    assert find_standing(circuit, WhenTested.FIRST_FIX, Measure.R1_R2) == stands


def test_dash_takes_back_what_stands_when_it_was_another_circuit(record, circuit):
    record({Measure.R1_R2: "0.35"})
    row, = record({Measure.R1_R2: "-"}, at=NOW + timedelta(minutes=1))

    assert row.state == "blank"
    assert [sheet.entered for sheet in load_sheets(circuit.job, WhenTested.FIRST_FIX)] == [0]


def test_text_that_is_no_reading_is_kept_and_holds_when_a_phone_sends_it(record, circuit):
    row, = record({Measure.R1_R2: "about 3"})
    sheet, = load_sheets(circuit.job, WhenTested.FIRST_FIX)

    assert row.state == "refused"
    assert sheet.holds[0].startswith("R1 + R2 at the far end: “about 3” is not a reading.")


def test_stored_reading_is_never_changed_when_an_edit_is_tried(record):
    row, = record({Measure.R1_R2: "0.35"})

    with pytest.raises(DatabaseError), transaction.atomic():
        Reading.objects.filter(pk=row.pk).update(text="0.30")


@pytest.mark.parametrize(("taken", "words"), [
    ({"by": None}, "Say who tested"),
    ({"instrument": None}, "with which instrument"),
])
def test_readings_are_refused_when_something_is_not_said(record, taken, words):
    with pytest.raises(Refused, match=words):
        record({Measure.R1_R2: "0.35"}, **taken)


def test_readings_are_refused_when_the_person_may_not_test(record, firm):
    with pytest.raises(Refused, match="Ivo may not test"):
        record({Measure.R1_R2: "0.35"}, by=make_person(firm, "Ivo", "improver"), user=make_office(firm))


def test_live_tests_are_refused_when_the_tester_is_under_18(record, firm):
    young = make_person(firm, "Sam", may_test=True, born_on=date(2010, 1, 1))

    with pytest.raises(Refused, match="never test live"):
        record({Measure.ZS: "0.8"}, WhenTested.END, by=young, user=make_office(firm))


def test_readings_are_refused_when_a_phone_says_somebody_else_tested(record, firm):
    with pytest.raises(Refused, match="the person signed in"):
        record({Measure.R1_R2: "0.35"}, by=make_person(firm, may_test=True))


def test_readings_are_refused_when_the_job_is_closed(record, circuit):
    Job.objects.filter(pk=circuit.job_id).update(state=Job.State.HANDED_OVER)

    with pytest.raises(Refused, match="is closed"):
        record({Measure.R1_R2: "0.35"})


def test_readings_are_refused_when_another_firms_instrument_is_named(record):
    with pytest.raises(PermissionDenied):
        record({Measure.R1_R2: "0.35"}, instrument=make_instrument(make_firm("Other")))


def test_nothing_is_kept_when_every_field_is_blank(record):
    with pytest.raises(Refused, match="at least one"):
        record({Measure.R1_R2: " ", Measure.POLARITY: "-"})


def test_day_is_refused_when_it_lies_ahead(circuit):
    with pytest.raises(Refused, match="lies ahead"):
        moment_of(circuit.job, TODAY + timedelta(days=1), NOW)


def test_reading_is_marked_when_its_instrument_was_overdue(record, circuit, firm):
    overdue = make_instrument(firm, due_on=TODAY - timedelta(days=1))
    record({Measure.R1_R2: "0.35"}, instrument=overdue)
    sheet, = load_sheets(circuit.job, WhenTested.FIRST_FIX)

    assert [line.field.measure for line in sheet.lines if line.is_overdue] == [Measure.R1_R2]


# ---- from phones


def sent(circuit: Circuit, **value: str) -> dict[str, object]:
    value = {"when": "first_fix", "instrument": "", "test_volts": "500", "note": "", "r1_r2": ""} | value
    return {
        "op_id": str(uuid4()), "kind": "readings", "item": str(circuit.uid), "value": value, "device_at": AT, "sent_at": AT,
    }


def test_phone_hears_what_to_look_for_when_a_reading_is_out(phone, circuit, tool):
    body = sent(circuit, instrument=str(tool.uid), ir_earth="0.4", polarity="ok")
    answer = apply_operation(user=phone, body=body, now=NOW)

    assert answer.result == "applied"
    assert answer.state["told"][0].startswith("Insulation, live to earth, 0.4 MΩ: outside the limit. Perhaps a cable trapped")


def test_readings_count_once_when_they_are_sent_twice(phone, circuit, tool):
    body = sent(circuit, instrument=str(tool.uid), ir_earth=">200")
    first, again = (apply_operation(user=phone, body=body, now=NOW) for _ in range(2))

    assert (again.result, again.state) == ("duplicate", first.state)
    assert Reading.objects.get().op_id == UUID(body["op_id"])


def test_sending_is_kept_as_refused_when_the_sender_may_not_test(firm, circuit, tool):
    improver = make_crew_user(make_person(firm, "Ivo", "improver"))
    answer = apply_operation(user=improver, body=sent(circuit, polarity="ok"), now=NOW)

    assert (answer.status, Reading.objects.count()) == (409, 0)
    assert SiteOperation.objects.get().reason.startswith("Ivo may not test.")


def test_sending_is_refused_when_its_instrument_is_unknown(phone, circuit):
    answer = apply_operation(user=phone, body=sent(circuit, instrument=str(uuid4()), ir_earth=">200"), now=NOW)

    assert (answer.result, answer.reason.split(".")[0]) == ("refused", "The firm has no such instrument")


def test_live_reading_warns_when_dead_tests_at_the_end_are_missing(phone, circuit, tool):
    answer = apply_operation(user=phone, body=sent(circuit, when="end", instrument=str(tool.uid), zs="0.6"), now=NOW)

    assert any("must not be energised yet" in words for words in answer.state["told"])

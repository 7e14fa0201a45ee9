"""The office's pages of readings, and the phone's page as the server makes it."""

import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from jobs.actions.readings import Taken, record_readings
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.models import Instrument, Job, Reading, ReadingsUpload, RoomTask
from jobs.queries.survey import find_obstacle
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_circuit,
    make_crew_user,
    make_firm,
    make_instrument,
    make_job,
    make_office,
    make_package,
    make_person,
    make_point,
    make_point_kind,
    make_room,
)
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db


class House:
    """A room with a socket on a ring and a light on another circuit, without a catalogue: quick to make."""

    def __init__(self):
        self.firm = make_firm()
        self.job = make_job(self.firm, "Mill Row")
        room, kind = make_room(make_area(self.job)), make_point_kind(self.firm)
        self.ring, self.lights = make_circuit(self.job), make_circuit(self.job, "L1", "lighting", name="Lights")
        for circuit in (self.ring, self.lights):
            make_point(room, kind, circuit)


@pytest.fixture
def house():
    return House()


@pytest.fixture
def client(client, house):
    client.force_login(make_office(house.firm))
    return client


@pytest.fixture
def tester(house):
    return make_person(house.firm, "Priya", may_test=True)


@pytest.fixture
def tool(house):
    return make_instrument(house.firm)


@pytest.fixture
def enter(client, house, tester, tool):
    """Type readings of the ring in the office."""

    def enter(when="first_fix", **fields):
        about = {"tested_by": tester.pk, "tested_on": "2026-01-12", "instrument": tool.pk, "test_volts": "500"}
        return client.post(reverse("enter_readings", args=[house.job.pk, when, house.ring.pk]), about | fields)

    return enter


def page(client, name, *args):
    return " ".join(client.get(reverse(name, args=args)).content.decode().split())


def test_form_shows_limit_and_what_the_length_gives_when_a_circuit_is_routed(client):
    house = PlacedHouse()
    client.force_login(house.office)
    shown = page(client, "enter_readings", house.job.pk, "first_fix", house.ring.pk)

    assert re.search(r"Ω; continuous; about 0\.\d+ Ω by its length", shown)
    assert "at least 1.0 MΩ at 500 V" in shown


def test_readings_show_with_verdict_and_instrument_when_they_are_typed(client, house, enter):
    assert enter(ring_r1="0,44", ir_earth="0.4").status_code == 302
    shown = page(client, "job_readings", house.job.pk)

    for words in ("<b>0.4 MΩ</b>", "Outside the limit", "Perhaps a cable trapped or nailed", "Blue tester, no. "):
        assert words in shown


def test_what_stood_before_stays_below_when_a_reading_is_corrected(client, house, enter):
    enter(r1_r2="9.9", tested_on="2026-01-11")
    enter(r1_r2="0.29")

    assert "Before (1)" in page(client, "job_readings", house.job.pk)
    assert Reading.objects.get(text="0.29").corrects.text == "9.9"


@pytest.mark.parametrize(("text", "words"), [
    ("about three", "is not a reading"), ("-0.4", "cannot be negative"), ("1e9", "is not a reading"),
    ("99999999", "more than any tester shows"), ("1,000", "can be read two ways"), ("ok", "says nothing measured"),
    ("0.4 ms", "is not a unit of this field"), ("9" * 41, "at most 40"), ("LIM", "Write why it was not tested"),
])
def test_readings_are_refused_at_their_field_when_typed_badly(enter, text, words):
    answer = enter(r1_r2=text)

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Reading.objects.exists()


@pytest.mark.parametrize(("text", "state"), [
    ("0,35", "value"), (">200 ohm", "over"), ("<0.01", "under"), ("lim", "limited"), ("N/A", "not_applicable"), ("∞", "over"),
])
def test_readings_are_taken_when_written_as_testers_do(enter, text, state):
    assert enter(r1_r2=text, note="Far end plastered over").status_code == 302
    assert Reading.objects.get().state == state


@pytest.mark.parametrize(("changes", "words"), [
    ({"tested_on": "2999-01-01"}, "That day lies ahead"), ({"instrument": ""}, "with which instrument"),
    ({"tested_by": ""}, "This field is required"), ({"r1_r2": ""}, "at least one reading"),
    ({"test_volts": "1000"}, "Select a valid choice"),
])
def test_form_says_what_is_missing_when_it_is_not_whole(enter, changes, words):
    answer = enter(**({"r1_r2": "0.3"} | changes))

    assert (answer.status_code, words in answer.content.decode()) == (422, True)


def test_reason_is_asked_when_a_house_with_untested_circuits_is_handed_over(client, house):
    Job.objects.filter(pk=house.job.pk).update(state=Job.State.ON_SITE)

    assert "L1: R1 + R2 at the far end: not entered, and " in page(client, "hand_over", house.job.pk)


# ---- files


@pytest.fixture
def send(client, house, tester, tool):
    def send(data, name="readings.csv", **changes):
        about = {"when_tested": "first_fix", "tested_by": tester.pk, "tested_on": "2026-01-12", "instrument": tool.pk}
        data = data.encode() if isinstance(data, str) else data
        about |= {"test_volts": "500", "readings_file": SimpleUploadedFile(name, data)} | changes
        return client.post(reverse("import_readings", args=[house.job.pk]), about)

    return send


def test_file_is_saved_after_it_was_looked_at_when_it_has_no_fault(client, house, send):
    looked_at = send("Circuit,R1+R2 (Ω),IR live-earth,Polarity\nR1,\"0,29\",>200,ok\nl1,1.1,0.4,ok\n")
    assert not Reading.objects.exists()
    shown = client.get(looked_at.url).content.decode()
    client.post(looked_at.url)

    assert "Outside the limit" in shown
    assert Reading.objects.filter(circuit=house.lights).count() == 3
    assert not ReadingsUpload.objects.exists()


def test_every_fault_names_row_and_column_when_a_file_is_wrong(send):
    answer = send("Circuit,R1+R2,Zs,Colour\nR1,3 ms,0.6,\nQ9,0.3,,\nL1,0.3,,\n")
    shown = " ".join(answer.content.decode().split())

    assert answer.status_code == 422
    for fault in ("<b>Row 1, Colour</b>", "<b>Row 2, R1+R2</b>", "<b>Row 2, Zs</b><br>This is measured at the end",
                  "<b>Row 3, Circuit</b><br>No circuit “Q9” on this job."):
        assert fault in shown
    assert not ReadingsUpload.objects.exists()


@pytest.mark.parametrize("data", ["", "Room,Colour\nHall,red\n", b"\x00\x01\x02", b"PK\x03\x04nonsense", "Circuit\nR1\n"])
def test_file_is_refused_with_a_sentence_when_it_is_no_table_of_readings(send, data):
    assert send(data).status_code == 422
    assert not ReadingsUpload.objects.exists()


def test_workbook_is_read_when_it_comes_from_a_spreadsheet(send):
    book, file = Workbook(), io.BytesIO()
    for row in (["Circuit", "R1+R2", "Polarity"], ["R1", 0.29, "ok"]):
        book.active.append(row)
    book.save(file)

    assert send(file.getvalue(), "readings.xlsx").status_code == 302


@pytest.mark.parametrize("extension", ["csv", "xlsx"])
def test_files_to_start_from_read_back_when_they_are_downloaded(client, house, send, extension):
    address = reverse("readings_file", args=[house.job.pk, "first_fix", "example", extension])

    assert send(client.get(address).content, f"example.{extension}").status_code == 302


def test_file_saved_twice_counts_once_when_its_page_is_sent_again(client, send):
    kept = send("Circuit,R1+R2\nR1,0.29\n").url
    client.post(kept)

    assert client.post(kept).status_code == 404
    assert Reading.objects.count() == 1


# ---- instruments


def test_instrument_is_listed_as_overdue_when_its_calibration_ran_out(client):
    details = {"name": "Blue tester", "serial": "B-1", "calibrated_on": "2024-01-01", "due_on": "2025-01-01"}
    client.post(reverse("instruments"), details)

    assert "overdue" in page(client, "instruments")


@pytest.mark.parametrize("changes", [{"due_on": "2023-12-31"}, {"serial": "USED"}, {"name": ""}, {"calibrated_on": "soon"}])
def test_instrument_is_refused_when_something_cannot_be(client, house, changes):
    make_instrument(house.firm, serial="USED")
    details = {"name": "Blue tester", "serial": "B-1", "calibrated_on": "2024-01-01", "due_on": "2025-01-01"} | changes

    assert client.post(reverse("instruments"), details).status_code == 422
    assert Instrument.objects.count() == 1


def test_readings_keep_the_calibration_they_were_taken_under_when_the_instrument_is_calibrated_anew(client, house, enter, tool):
    enter(r1_r2="0.29")
    details = {"name": tool.name, "serial": tool.serial, "calibrated_on": "2030-01-01", "due_on": "2031-01-01"}
    client.post(reverse("instrument", args=[tool.pk]), details)

    assert Reading.objects.get().calibration_due_on == tool.due_on


# ---- the phone's page


def phone_page(client, house, person, when="first_fix"):
    client.force_login(make_crew_user(person))
    return page(client, "site_readings", house.job.pk, when)


def test_phone_page_has_a_form_for_each_circuit_when_the_person_may_test(client, house, tester, tool):
    shown = phone_page(client, house, tester)

    assert shown.count('name="kind" value="readings"') == 2
    assert "Zs at the far end" not in shown


def test_phone_page_says_why_there_is_no_form_when_the_person_may_not_test(client, house, tool):
    shown = phone_page(client, house, make_person(house.firm, "Ivo", "improver"))

    assert "Only somebody who may test enters readings" in shown
    assert 'name="kind" value="readings"' not in shown


def test_phone_page_proposes_the_instrument_of_the_day_when_one_was_used(client, house, tester, tool, monkeypatch):
    other = make_instrument(house.firm, "Red tester")
    user = make_crew_user(tester)
    taken = Taken(WhenTested.FIRST_FIX, tester, NOW, other)
    monkeypatch.setattr("jobs.web.views.readings_site.today_of", lambda request: TODAY)
    record_readings(circuit=house.ring, written={Measure.R1_R2: "0.3"}, taken=taken, by=user, now=NOW)
    client.force_login(user)

    assert f'<option value="{other.uid}" selected>' in page(client, "site_readings", house.job.pk, "first_fix")


def test_form_without_scripts_records_when_it_is_sent(client, house, tester, tool):
    client.force_login(make_crew_user(tester))
    Job.objects.filter(pk=house.job.pk).update(state=Job.State.ON_SITE)
    fields = {
        "op_id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "kind": "readings", "item": house.ring.uid, "when": "first_fix",
        "instrument": tool.uid, "test_volts": "500", "note": "", "r1_r2": "0,29",
    }
    client.post(reverse("record_readings", args=[house.job.pk, "first_fix"]), fields)

    assert Reading.objects.get().text == "0,29"


def test_page_is_not_found_when_the_time_of_testing_is_none(client, house):
    assert client.get(reverse("site_readings", args=[house.job.pk, "never"])).status_code == 404
    assert client.get(reverse("enter_readings", args=[house.job.pk, "never", house.ring.pk])).status_code == 404


# ---- the room on the phone


def add_line(room, stage, **fields):
    """A line of a stage that is ticked, so that only readings hold it."""
    package = make_package(room.area, stage)
    return RoomTask.objects.create(firm=room.firm, package=package, room=room, text="Tests", is_hold_point=True, **fields)


def test_room_page_names_circuits_when_their_dead_tests_are_missing(client, house, tester):
    room = house.job.rooms.get()
    add_line(room, "first_fix", code="check:F9", done_share=1)
    client.force_login(make_crew_user(tester))

    assert "No dead-test readings of R1 (<a" in page(client, "site_room", room.pk)


def test_room_page_names_what_is_missing_before_power_when_the_test_stage_is_next(client, house, tester):
    room = house.job.rooms.get()
    add_line(room, "test", code="check:T3")
    client.force_login(make_crew_user(tester))
    shown = page(client, "site_room", room.pk)

    assert "R1: Ring line, end to end (r1): not entered, and 6 more (<a" in shown
    assert "missing before power" in shown


def test_file_may_not_replace_a_survey_when_readings_were_taken(house, enter):
    enter(r1_r2="0.29")

    assert find_obstacle(house.job).startswith("Readings were taken (of R1 Sockets)")

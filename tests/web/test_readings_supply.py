import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import PowerOverride, Reading
from tests.tested_house import TestedHouse

pytestmark = [pytest.mark.django_db, pytest.mark.once]
DAY = "2026-01-12"


@pytest.fixture
def house():
    return TestedHouse()


@pytest.fixture
def office(client, house):
    client.force_login(house.office)
    return client


def words(answer) -> str:
    return " ".join(answer.content.decode().split())


def about(house, **more: str) -> dict[str, object]:
    return {"tested_by": house.tester.pk, "tested_on": DAY, "instrument": house.tool.pk, "note": ""} | more


def readings_page(client, house) -> str:
    return words(client.get(reverse("job_readings", args=[house.job.pk])))


# ---- the supply


def test_supply_shows_with_instrument_and_who_when_it_is_typed_in_the_office(office, house):
    office.post(reverse("enter_supply", args=[house.job.pk]), about(house, ze="0,31", pfc="1.2", supply_pol="ok"))
    page = readings_page(office, house)

    assert "Checks reckon with Ze 0.31 Ω, measured." in page
    assert "Blue tester" in page
    assert "Priya" in page
    assert "0.31 Ω, measured" in words(office.get(reverse("circuit_schedule", args=[house.job.pk])))


@pytest.mark.parametrize(("field", "typed", "says"), [
    ("ze", "half", "is not a reading"), ("ze", "-0.3", "cannot be negative"), ("pfc", "1e9", "is not a reading"),
    ("pfc", "1200", "slipped digit"), ("supply_pol", "0.3", "Write one of"), ("ze", "ok", "says nothing measured"),
])
def test_supply_says_at_the_field_what_is_no_reading(office, house, field, typed, says):
    answer = office.post(reverse("enter_supply", args=[house.job.pk]), about(house, **{field: typed}))

    assert answer.status_code == 422
    assert says in words(answer)
    assert not Reading.objects.exists()


def test_fault_current_may_be_written_in_amps(office, house):
    office.post(reverse("enter_supply", args=[house.job.pk]), about(house, pfc="1200 A"))

    assert str(Reading.objects.get().amount) == "1.200000"


# ---- sockets of a ring


def test_odd_socket_is_named_on_the_page_when_sockets_are_typed_in_the_office(office, house):
    texts = [("0.22", "0.28"), ("0.23", "0.29"), ("0,39", "0.46")]
    typed = about(house)
    for point, (live, cpc) in zip(house.sockets, texts, strict=True):
        typed |= {f"cross_live_{point.pk}": live, f"cross_cpc_{point.pk}": cpc}
    answer = office.post(reverse("enter_sockets", args=[house.job.pk, "end", house.ring.pk]), typed)
    page = readings_page(office, house)

    assert answer.status_code == 302
    assert "Higher than the others: Hall, socket." in page
    assert "highest of its sockets, at Hall, socket" in page


def test_sockets_say_at_the_field_what_is_no_reading(office, house):
    typed = about(house, **{f"cross_live_{house.sockets[0].pk}": "o.2"})
    answer = office.post(reverse("enter_sockets", args=[house.job.pk, "end", house.ring.pk]), typed)

    assert answer.status_code == 422
    assert "is not a reading" in words(answer)


def test_there_is_no_such_page_when_the_circuit_is_no_ring(office, house):
    assert office.get(reverse("enter_sockets", args=[house.job.pk, "end", house.lights.pk])).status_code == 404


def test_phone_page_has_forms_for_sockets_and_supply(client, house):
    client.force_login(house.phone)
    page = words(client.get(reverse("site_readings", args=[house.job.pk, "end"])))

    assert f'name="cross_cpc_{house.sockets[2].uid.hex}"' in page
    assert 'name="kind" value="supply"' in page
    assert "Supply: Ze, earth fault loop of the supply: not entered, and 2 more" in page


def test_forms_without_scripts_record_sockets_and_supply(client, house):
    client.force_login(house.phone)
    address = reverse("record_readings", args=[house.job.pk, "end"])
    base = {"instrument": str(house.tool.uid), "note": ""}
    client.post(address, base | {
        "op_id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "kind": "supply", "item": str(house.job.uid), "ze": "0.31",
    })
    client.post(address, base | {
        "op_id": "6f9619ff-8b86-4d01-b42d-00cf4fc964fe", "kind": "sockets", "item": str(house.ring.uid), "when": "end",
        f"cross_live_{house.sockets[0].uid.hex}": "0.22",
    })

    assert sorted(Reading.objects.values_list("measure", flat=True)) == ["cross_live", "ze"]


# ---- files


def send_file(client, house, text: str, when: str = "end"):
    file = SimpleUploadedFile("readings.csv", text.encode())
    address = reverse("import_readings", args=[house.job.pk])
    return client.post(address, about(house, when_tested=when, test_volts="500", readings_file=file))


def test_file_brings_supply_circuits_and_sockets_at_once(office, house):
    looked_at = send_file(office, house, (
        "Circuit,Socket,L-N cross,L-cpc cross,Polarity,Ze,PFC,Supply polarity\n"
        'Supply,,,,,"0,31",1.2,ok\nL1,,,,ok,,,\nR1,"Hall, socket",0.22,OL,,,,\n'
    ))
    shown = words(office.get(looked_at.url))
    office.post(looked_at.url)

    assert "R1 Sockets: Hall, socket" in shown
    assert "Outside the limit" in shown
    assert sorted(Reading.objects.values_list("measure", flat=True)) == [
        "cross_cpc", "cross_live", "pfc", "polarity", "supply_pol", "ze",
    ]
    assert Reading.objects.get(measure="cross_cpc").point == house.sockets[2]


def test_supply_in_a_file_of_first_fix_is_a_fault_with_its_place(office, house):
    answer = send_file(office, house, "Circuit,Ze\nSupply,0.31\n", "first_fix")

    assert answer.status_code == 422
    assert "<b>Row 2, Ze</b><br>This is measured at the end" in words(answer)


@pytest.mark.parametrize("when", ["first_fix", "end"])
def test_file_of_the_jobs_readings_reads_back_with_sockets(office, house, when):
    house.send_sockets(("0.22", "0.28"), ("0.23", "0.29"), when=when)
    file = office.get(reverse("readings_file", args=[house.job.pk, when, "readings", "csv"])).content.decode("utf-8-sig")

    assert '"Lounge, socket 2",' in file
    assert send_file(office, house, file, when).status_code == 302


# ---- power


def test_office_lets_power_on_with_a_reason_that_stays_on_the_page(office, house):
    answer = office.post(reverse("let_power_on", args=[house.job.pk]), {"keys": ["supply"], "reason": "Temporary board"})
    page = readings_page(office, house)

    assert answer.status_code == 302
    assert PowerOverride.objects.get().circuit is None
    assert "Power let on all the same, the supply" in page
    assert "“Temporary board”" in page


def test_nothing_is_let_on_when_no_reason_is_given(office, house):
    answer = office.post(reverse("let_power_on", args=[house.job.pk]), {"keys": ["supply"], "reason": " "}, follow=True)

    assert "Say why power may go on" in words(answer)
    assert not PowerOverride.objects.exists()

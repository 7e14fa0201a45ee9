import re
from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.core.electrics.rule_book import every_rule
from jobs.core.electrics.rules import CAUTION, EDITION_NOTE
from jobs.core.stages import CircuitKind
from jobs.models import Circuit, CircuitDesign, CircuitPart, HouseSupply
from tests.factories import make_circuit, make_crew_user, make_firm, make_job, make_person
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def house():
    house = PlacedHouse()
    house.job.circuits.update(device="RCBO 30 mA type A, B curve", device_rating_amps=6)
    house.job.circuits.filter(reference="R1").update(device_rating_amps=32)
    return house


@pytest.fixture
def client(client, house):
    client.force_login(house.office)
    return client


def text(response) -> str:
    return re.sub(r"\s+", " ", response.content.decode().replace("&#x27;", "'"))


def page(client, name, *pks, **query) -> str:
    response = client.get(reverse(name, args=pks), query)
    assert response.status_code == 200
    return text(response)


def describe(client, house, **fields):
    form = {"parts-TOTAL_FORMS": "2", "parts-INITIAL_FORMS": "0"} | fields
    return client.post(reverse("describe_circuit", args=[house.job.pk, house.ring.pk]), form)


def test_schedule_shows_each_circuit_with_its_result_and_the_caution_once(client, house):
    shown = page(client, "circuit_schedule", house.job.pk)
    assert "R1 Sockets" in shown
    assert "by its route, with slack and waste" in shown
    assert (shown.count(EDITION_NOTE), shown.count(CAUTION)) == (1, 1)


def test_schedule_says_what_is_assumed_of_the_supply(client, house):
    shown = page(client, "circuit_schedule", house.job.pk)
    assert "60 A is assumed; read its carrier" in shown
    assert "TN-C-S (PME) is assumed" in shown


def test_schedule_flags_more_than_the_supply_and_says_what_to_do(client, house):
    HouseSupply.objects.create(firm=house.firm, job=house.job, fuse_amps=20)
    shown = page(client, "circuit_schedule", house.job.pk)
    assert "More than the supply:" in shown
    assert "ask the network operator" in shown


def test_schedule_leads_to_the_survey_when_there_are_no_circuits(client, house):
    empty = make_job(house.firm)
    assert "No circuits are surveyed yet" in page(client, "circuit_schedule", empty.pk)


def test_supply_is_described_from_the_page(client, house):
    form = {"earthing": "tt", "ze_ohms": "80", "fuse_amps": "100", "board_ways": "12"}
    shown = text(client.post(reverse("describe_supply", args=[house.job.pk]), form, follow=True))
    assert "TT (own electrode)" in shown
    assert "12 ways, 10 spare" in shown
    assert HouseSupply.objects.get().has_surge_device is False


def test_impossible_supply_is_said_at_its_field(client, house):
    response = client.post(reverse("describe_supply", args=[house.job.pk]), {"ze_ohms": "-1", "fuse_amps": "1e9"})
    assert (response.status_code, HouseSupply.objects.count()) == (422, 0)
    assert "errorlist" in text(response)


def test_each_check_shows_formula_numbers_limit_and_a_source_that_is_listed(client, house):
    shown = page(client, "circuit_design", house.job.pk, house.ring.pk)
    assert "mV/A/m × L × Ib × Ct ÷ 1000 ÷ 4" in shown
    assert "at most 11.5 V" in shown
    linked = set(re.findall(r"#rule-([^\"]+)\"", shown))
    assert linked
    assert linked <= every_rule().keys()


def test_every_rule_has_its_row_and_anchor_on_the_list(client):
    shown = page(client, "rule_list")
    assert all(f'id="rule-{code}"' in shown for code in every_rule())
    assert "433.1.204" in shown
    assert "From memory, check" in shown


def test_bonding_has_its_one_check_and_nothing_to_try(client, house):
    bonding = make_circuit(house.job, "BD", CircuitKind.BONDING)
    house.add(house.hall, "bond-gas", bonding)
    shown = page(client, "circuit_design", house.job.pk, bonding.pk)
    assert "Main bonding" in shown
    assert "What would be if" not in shown


def test_what_if_shows_tried_beside_today_and_keeps_nothing(client, house):
    shown = page(client, "circuit_design", house.job.pk, house.ring.pk, method="101", grouped="2")
    assert "Today beside what is tried" in shown
    assert "17 × 1 × 1 × 0.8 = 13.6 A" in shown
    assert not CircuitDesign.objects.exists()


def test_what_if_answers_htmx_with_its_section_alone(client, house):
    address = reverse("circuit_design", args=[house.job.pk, house.ring.pk])
    fragment = text(client.get(address, {"live_mm2": "4"}, headers=HTMX))
    assert fragment.startswith('<section class="sheet stack no-print" id="what-if"')
    assert "4/1.5 mm²" in fragment
    table = re.search("<table.*?</table>", fragment).group()
    assert "<html" not in fragment
    assert table in text(client.get(address, {"live_mm2": "4"}))


@pytest.mark.parametrize("query", [{"grouped": "99"}, {"metres": "-4"}, {"method": "Z"}, {"live_mm2": "NaN"}, {"metres": "1e9"}])
def test_odd_what_ifs_are_said_at_their_field(client, house, query):
    address = reverse("circuit_design", args=[house.job.pk, house.ring.pk])
    response = client.get(address, query, headers=HTMX)
    assert response.status_code == 422
    assert "errorlist" in text(response)
    assert client.get(address, query).status_code == 200


def test_what_if_is_used_from_the_page(client, house):
    address = reverse("use_what_if", args=[house.job.pk, house.ring.pk])
    shown = text(client.post(address, {"live_mm2": "4", "method": "C"}, follow=True))
    assert "R1 is changed as tried" in shown
    assert (Circuit.objects.get(pk=house.ring.pk).cable.code, CircuitPart.objects.first().method) == ("cable-4-2c", "C")


def test_what_if_of_a_size_not_in_the_stores_is_refused_in_words(client, house):
    response = client.post(reverse("use_what_if", args=[house.job.pk, house.ring.pk]), {"live_mm2": "16"})
    assert response.status_code == 422
    assert "stores hold no flat cable" in text(response)


def test_circuit_is_described_with_its_parts(client, house):
    parts = {"parts-0-method": "101", "parts-0-metres": "3", "parts-1-method": "C", "parts-1-grouped": "2"}
    response = describe(client, house, spurs="1", rcd_milliamps="30", rcd_type="A", load_watts="", **parts)
    assert response.status_code == 302
    assert [(part.metres, part.grouped) for part in CircuitPart.objects.all()] == [(3, 1), (None, 2)]
    assert "Parts of the route" in page(client, "circuit_design", house.job.pk, house.ring.pk)


@pytest.mark.parametrize(
    "fields", [
        {"spurs": "-1"}, {"parts-0-metres": "5"}, {"parts-0-method": "C", "parts-0-grouped": "99"}, {"parts-TOTAL_FORMS": "x"},
        {"parts-0-method": "C", "parts-1-method": "A"}, {"load_watts": "1e9"}, {"parts-0-method": "C", "parts-0-ambient_c": "80"},
    ]
)
def test_what_cannot_be_is_said_with_nothing_kept(client, house, fields):
    assert describe(client, house, **fields).status_code == 422
    assert not CircuitDesign.objects.exists()


def test_board_is_drawn_and_told_in_a_table(client, house):
    shown = page(client, "circuit_board", house.job.pk)
    assert "<svg" in shown
    assert "<title>1 · R1 · Sockets · B32, 30 mA RCD</title>" in shown
    assert "Surge protective device" in shown
    assert "Spare" in shown


def test_chart_has_limits_and_labels_have_the_test_notice(client, house):
    chart = page(client, "circuit_chart", house.job.pk)
    assert "1.36" in chart
    assert "1.09" in chart
    assert "Press the test button of each RCD" in page(client, "circuit_labels", house.job.pk)


def test_pages_have_no_inline_style_or_script(client, house):
    of_job, of_circuit = (house.job.pk,), (house.job.pk, house.ring.pk)
    for name, pks in (("circuit_schedule", of_job), ("circuit_board", of_job), ("circuit_design", of_circuit)):
        assert not any(word in page(client, name, *pks) for word in (" style=", "onclick", "<style"))


def test_pages_of_another_firm_are_not_found(client, house):
    stranger = make_circuit(make_job(make_firm("Other")))
    for name in ("circuit_schedule", "circuit_board", "circuit_chart", "circuit_labels"):
        assert client.get(reverse(name, args=[stranger.job_id])).status_code == 404
    assert client.post(reverse("describe_supply", args=[stranger.job_id])).status_code == 404
    for name in ("describe_circuit", "use_what_if"):
        assert client.post(reverse(name, args=[house.job.pk, stranger.pk])).status_code == 404
    assert client.get(reverse("circuit_design", args=[stranger.job_id, stranger.pk])).status_code == 404


def test_crew_sees_no_schedule_and_changes_nothing(client, house):
    client.force_login(make_crew_user(make_person(house.firm)))
    assert client.get(reverse("circuit_schedule", args=[house.job.pk])).status_code == 302
    assert client.post(reverse("describe_supply", args=[house.job.pk]), {"fuse_amps": "100"}).status_code == 403


def test_circuit_far_too_long_fails_on_the_schedule(client, house):
    Circuit.objects.filter(pk=house.ring.pk).update(cable_metres=Decimal("2000"))
    shown = page(client, "circuit_schedule", house.job.pk)
    assert "Outside the limit" in shown
    assert "#check-drop" in shown

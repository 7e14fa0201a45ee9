from datetime import date

import pytest
from django.db import IntegrityError, transaction

from jobs.actions.permission import Refused
from jobs.actions.readings import Taken, record_sockets, record_supply
from jobs.actions.survey import remove_points
from jobs.core.electrics.assumed import ZeFrom
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import Measure, WhenTested
from jobs.models import HouseSupply, Reading
from jobs.queries.circuits import load_schedule
from jobs.queries.readings import load_sheets
from tests.factories import NOW, make_person
from tests.tested_house import TestedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house():
    return TestedHouse()


def ring_sheet(house, when=WhenTested.END):
    return next(sheet for sheet in load_sheets(house.job, when) if sheet.circuit == house.ring)


def line_of(sheet, measure):
    return next(line for line in sheet.lines if line.field.measure == measure)


# ---- sockets of a ring


def test_each_sockets_reading_is_kept_as_written_when_a_phone_sends_them(house):
    answer = house.send_sockets(("0,22", "0.28"), ("0.23", "0.29"), ("0.22", "LIM"))

    assert answer.result == "applied"
    assert list(Reading.objects.order_by("point_id", "measure").values_list("point_id", "measure", "text"))[:2] == [
        (house.sockets[0].pk, "cross_cpc", "0.28"), (house.sockets[0].pk, "cross_live", "0,22"),
    ]


def test_phone_hears_which_socket_is_odd_when_one_reads_higher(house):
    answer = house.send_sockets(("0.22", "0.28"), ("0.23", "0.29"), ("0.39", "0.46"))
    told = " ".join(answer.state["told"])

    assert "Hall, socket, 0.39 Ω: look at it again. Higher than the others: perhaps it hangs on a spur" in told
    assert "R1 + R2 of the circuit: 0.46 Ω at Hall, socket." in told


def test_highest_socket_is_r1_plus_r2_when_none_was_written(house):
    house.send_sockets(("0.22", "0.28"), ("0.23", "0.31"), ("0.22", "0.29"))
    line = line_of(ring_sheet(house), Measure.R1_R2)

    assert (line.words, line.taken_from) == ("0.31 Ω", "Lounge, socket 2")
    assert line.stands.point == house.sockets[1]


def test_written_r1_plus_r2_stands_but_is_remarked_when_a_socket_reads_higher(house):
    house.dead_test(house.ring, r1_r2="0.29")
    house.send_sockets(("0.22", "0.28"), ("0.23", "0.46"), ("0.22", "0.29"))
    line = line_of(ring_sheet(house), Measure.R1_R2)

    assert (line.words, line.taken_from) == ("0.29 Ω", "")
    assert "Lounge, socket 2 reads higher" in " ".join(line.judged.look_for)


def test_sockets_are_judged_beside_the_measured_ends_when_there_are_any(house):
    house.dead_test(house.ring)
    house.send_sockets(("0.44", "0.60"), ("0.44", "0.60"), ("0.44", "0.60"))
    ring = ring_sheet(house).ring

    assert ring.ends_words == "by its ends"
    assert "higher than the ring gives" in " ".join(check.advice for check in ring.checks)


def test_open_socket_holds_power(house):
    house.dead_test(house.ring)
    house.send_sockets(("0.22", "0.28"), ("OL", "0.29"))

    assert ring_sheet(house).holds_power == ["Line to neutral, ends cross-connected: no continuity at Lounge, socket 2."]


def test_sockets_not_read_hold_nothing(house):
    house.dead_test(house.ring)

    assert ring_sheet(house).holds_power == []


def test_correction_of_a_socket_leaves_the_others(house):
    house.send_sockets(("2.2", "0.28"), ("0.23", "0.29"))
    house.send("sockets", house.ring.uid, {
        "when": "end", "instrument": str(house.tool.uid), f"cross_live_{house.sockets[0].uid.hex}": "0.22",
    }, minutes=5)
    row = ring_sheet(house).ring.rows[0]

    assert (row.cells[0].words, row.cells[0].before[0].text) == ("0.22 Ω", "2.2")
    assert row.cells[0].stands.corrects == row.cells[0].before[0]


def test_sockets_are_refused_when_the_circuit_is_no_ring(house):
    taken = Taken(WhenTested.END, house.tester, NOW, house.tool)
    with pytest.raises(Refused, match="is no ring"):
        record_sockets(circuit=house.lights, written={house.lamp: {SocketMeasure.CROSS_LIVE: "0.2"}}, taken=taken,
                       by=house.phone, now=NOW)


def test_sockets_are_refused_when_one_hangs_on_another_circuit_now(house):
    house.sockets[0].circuit = house.lights
    house.sockets[0].save()
    answer = house.send_sockets(("0.22", "0.28"))

    assert (answer.status, Reading.objects.count()) == (409, 0)
    assert "no longer on R1" in answer.reason


def test_measured_point_stays_on_record_when_the_survey_drops_it(house):
    house.send_sockets(("0.22", "0.28"), ("0.23", "0.29"), ("0.22", "0.28"))
    remove_points(point=house.sockets[0], by=house.office)

    assert house.lounge.points.filter(is_dropped=True).count() == 2


# ---- the supply


def test_ze_measured_beats_the_told_one_in_the_schedule(house):
    HouseSupply.objects.create(firm=house.firm, job=house.job, earthing="tn_s", ze_ohms="0.70")
    house.send_supply(ze="0,31", pfc="1.2", supply_pol="ok")
    schedule = load_schedule(house.job)

    assert (str(schedule.supply.ze_ohms), schedule.supply_made.ze_from) == ("0.310000", ZeFrom.MEASURED)
    assert [check.name for check in schedule.supply_checks if "told" in check.name] == []


def test_told_ze_counts_when_none_was_measured(house):
    HouseSupply.objects.create(firm=house.firm, job=house.job, earthing="tn_s", ze_ohms="0.70")
    house.send_supply(ze="LIM", note="no access")
    schedule = load_schedule(house.job)

    assert schedule.supply_made.ze_from == ZeFrom.TOLD


def test_phone_hears_what_to_do_when_the_earth_may_be_lost(house):
    answer = house.send_supply(ze="OL")

    assert "do not energise; tell the network operator" in answer.state["told"][0]


def test_text_that_is_no_ze_is_kept_and_holds(house):
    house.send_supply(ze="1e9", pfc="-1", supply_pol="ok")

    assert Reading.objects.filter(state="refused").count() == 2
    assert len(load_schedule(house.job).supply_sheet.holds) == 2


def test_supply_is_refused_when_the_tester_is_under_18(house):
    young = make_person(house.firm, "Sam", may_test=True, born_on=date(2010, 1, 1))
    taken = Taken(WhenTested.FIRST_FIX, young, NOW, house.tool)
    with pytest.raises(Refused, match="never test live"):
        record_supply(job=house.job, written={SupplyMeasure.ZE: "0.3"}, taken=taken, by=house.office, now=NOW)


def test_database_refuses_a_reading_that_is_of_nothing(house):
    about = {"firm": house.firm, "job": house.job, "tested_by": house.tester, "tested_at": NOW, "entered_at": NOW}
    with pytest.raises(IntegrityError), transaction.atomic():
        Reading.objects.create(measure="zs", text="0.3", state="value", entered_by=house.office, **about)

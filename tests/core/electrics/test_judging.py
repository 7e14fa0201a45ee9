from decimal import Decimal as D

import pytest

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Curve, Device, Earthing, Supply
from jobs.core.electrics.judging import judge_readings, what_holds
from jobs.core.electrics.readings import read
from jobs.core.electrics.under_test import UNITS, Measure, UnderTest, WhenTested, fields_for, measures_for
from jobs.core.stages import CircuitKind
from tests.core.electrics.cast import SUPPLY, circuit, ring

GOOD_RING = {
    "ring_r1": "0.44", "ring_rn": "0.45", "ring_r2": "0.73", "r1_r2": "0.29", "ir_live": ">200", "ir_earth": ">200",
    "polarity": "ok", "zs": "0.63", "rcd_time": "24", "rcd_button": "ok", "functional": "ok",
}


def judged(written, tested=None, time=WhenTested.END):
    tested = tested or UnderTest(ring(), SUPPLY)
    readings = {Measure(name): read(text, UNITS[Measure(name)]) for name, text in written.items()}
    return {row.measure: row for row in judge_readings(readings, tested, time)}


def test_ring_holds_nothing_when_every_reading_is_in_order():
    rows = judged(GOOD_RING)

    assert {row.outcome for row in rows.values() if row.is_required} == {Outcome.PASS}
    assert {row.outcome for row in rows.values() if not row.is_required} == {Outcome.NOT_NEEDED}
    assert what_holds(rows.values()) == []


@pytest.mark.parametrize(
    ("measure", "text", "outcome", "look_for"),
    [
        ("ring_r2", "∞", Outcome.FAIL, "Open ring"),
        ("ring_rn", "0.55", Outcome.FAIL, "another circuit"),
        ("ring_r2", "0.45", Outcome.LOOK, "sizes may differ"),
        ("r1_r2", "OL", Outcome.FAIL, "no cpc"),
        ("r1_r2", "0.60", Outcome.LOOK, "Higher than its length gives"),
        ("ir_live", "0.4", Outcome.FAIL, "borrowed neutral"),
        ("ir_earth", "1.5", Outcome.LOOK, "new wiring usually reads more"),
        ("polarity", "x", Outcome.FAIL, "crossed"),
        ("zs", "1.20", Outcome.LOOK, "Above 0.8 of the limit"),
        ("zs", "1.40", Outcome.FAIL, "poor connection"),
        ("rcd_time", ">300", Outcome.FAIL, "neutral borrowed"),
        ("rcd_button", "fail", Outcome.FAIL, "not to be relied on"),
    ],
)
def test_reading_says_what_to_look_for_when_it_is_out(measure, text, outcome, look_for):
    row = judged(GOOD_RING | {measure: text})[measure]

    assert row.outcome == outcome
    assert look_for in " ".join(row.look_for)


@pytest.mark.parametrize("text", ["", "LIM", "N/A", "half"])
def test_circuit_is_held_when_a_required_reading_is_missing(text):
    held = what_holds(judged(GOOD_RING | {"zs": text}).values())

    assert len(held) == 1
    assert held[0].startswith("Zs at the far end: ")


def test_optional_test_holds_nothing_when_left_out_but_does_when_failed():
    assert what_holds(judged(GOOD_RING | {"rcd_time_5": "N/A"}).values()) == []
    assert len(what_holds(judged(GOOD_RING | {"rcd_time_5": "55"}).values())) == 1


@pytest.mark.parametrize(("text", "outcome"), [("no trip", Outcome.PASS), (">1999", Outcome.PASS), ("120", Outcome.FAIL)])
def test_half_current_passes_only_when_the_rcd_holds(text, outcome):
    assert judged({"rcd_half": text})[Measure.RCD_HALF].outcome == outcome


@pytest.mark.parametrize(
    ("text", "outcome"), [("100", Outcome.FAIL), ("130", Outcome.PASS), ("500", Outcome.PASS), ("501", Outcome.FAIL)]
)
def test_delayed_rcd_must_wait_and_then_trip(text, outcome):
    delayed = circuit(device=Device(Curve.B, D(32), 100, None, is_time_delayed=True))

    assert judged({"rcd_time": text}, UnderTest(delayed, SUPPLY))[Measure.RCD_TIME].outcome == outcome


def test_first_fix_asks_for_dead_tests_alone():
    assert measures_for(UnderTest(ring(), SUPPLY), WhenTested.FIRST_FIX) == tuple(Measure)[:8]


def test_radial_has_no_ring_ends_and_alarms_are_heard():
    measures = measures_for(UnderTest(circuit(CircuitKind.ALARMS), SUPPLY), WhenTested.END)

    assert Measure.RING_R1 not in measures
    assert Measure.ALARMS in measures


def test_bonding_is_looked_at_when_it_reads_more_than_usual():
    tested = UnderTest(circuit(CircuitKind.BONDING, "10"), SUPPLY)

    assert judged({"r2": "0.04"}, tested)[Measure.R2].outcome == Outcome.PASS
    assert judged({"r2": "0.40"}, tested)[Measure.R2].outcome == Outcome.LOOK


def test_open_circuit_alone_asks_for_a_missing_cpc():
    higher = judged(GOOD_RING | {"r1_r2": "0.60"})[Measure.R1_R2]

    assert higher.look_for == ("Higher than its length gives: look at the length written, the size and the connections.",)


def test_fields_show_limits_expected_values_and_their_rows():
    fields = {field.measure: field for field in fields_for(UnderTest(ring(), SUPPLY), WhenTested.END)}

    assert fields[Measure.ZS].limit_words == "cold at most 1.09 Ω; 1.36 Ω at 70 °C"
    assert fields[Measure.R1_R2].expected_words == "about 0.29 Ω by its length"
    assert [field.measure for field in fields.values() if not field.rules] == []


def test_high_electrode_is_looked_at_when_the_house_has_its_own():
    tested = UnderTest(circuit(), Supply(D(80), D(100), Earthing.TT))

    assert judged({"zs": "90"}, tested)[Measure.ZS].outcome == Outcome.PASS
    assert "stable" in " ".join(judged({"zs": "450"}, tested)[Measure.ZS].look_for)


def test_zs_cannot_be_judged_when_no_device_is_chosen():
    assert judged({"zs": "0.5"}, UnderTest(circuit(device=None), SUPPLY))[Measure.ZS].outcome == Outcome.UNKNOWN

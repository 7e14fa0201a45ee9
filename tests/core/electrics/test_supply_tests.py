from decimal import Decimal as D

import pytest

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.judging import what_holds
from jobs.core.electrics.readings import Unit, read
from jobs.core.electrics.supply_tests import (
    SUPPLY_UNITS,
    SupplyMeasure,
    judge_fault_current,
    judge_supply,
    judge_ze,
    measured_ze_ohms,
    supply_fields,
)


@pytest.mark.parametrize(
    ("text", "earthing", "outcome"),
    [
        ("0.21", Earthing.TN_C_S, Outcome.PASS), ("0.40", Earthing.TN_C_S, Outcome.LOOK), ("0.40", Earthing.TN_S, Outcome.PASS),
        ("85", Earthing.TT, Outcome.PASS), ("∞", Earthing.TN_S, Outcome.FAIL), ("LIM", Earthing.TN_S, Outcome.UNKNOWN),
    ],
)
def test_ze_is_judged_by_the_earthing(text, earthing, outcome):
    assert judge_ze(read(text, Unit.OHM), earthing).outcome == outcome


def test_lost_earth_is_not_energised():
    assert "do not energise" in judge_ze(read("OL", Unit.OHM), Earthing.TN_C_S).advice


@pytest.mark.parametrize(
    ("text", "breaking", "outcome"),
    [
        ("1.2", None, Outcome.PASS), ("7", None, Outcome.LOOK), ("17", None, Outcome.FAIL),
        ("7", D(10), Outcome.PASS), ("11", D(10), Outcome.FAIL), (">5", None, Outcome.LOOK),
        ("", None, Outcome.UNKNOWN),
    ],
)
def test_fault_current_is_judged_by_what_the_devices_break(text, breaking, outcome):
    assert judge_fault_current(read(text, Unit.KILOAMP), breaking).outcome == outcome


def test_crossed_supply_fails_and_is_the_operators_to_put_right():
    found = judge_supply({SupplyMeasure.POLARITY: read("fail", Unit.WORDS)}, Earthing.TN_S)[2]
    assert found.outcome == Outcome.FAIL
    assert "only the network operator" in " ".join(found.look_for)


def test_missing_readings_at_the_origin_hold_until_they_are_entered():
    assert len(what_holds(judge_supply({}, Earthing.TN_S))) == 3
    good = {SupplyMeasure.ZE: "0.31", SupplyMeasure.FAULT: "1.4", SupplyMeasure.POLARITY: "ok"}
    read_now = {measure: read(text, SUPPLY_UNITS[measure]) for measure, text in good.items()}
    assert what_holds(judge_supply(read_now, Earthing.TN_S)) == []


def test_limit_beside_ze_follows_the_earthing():
    words = [supply_fields(earthing)[0].limit_words for earthing in Earthing]
    assert len(set(words)) == len(Earthing)


@pytest.mark.parametrize(("text", "ohms"), [("0.21", D("0.21")), ("<0.01", D("0.01")), (">20", None), ("LIM", None)])
def test_ze_to_reckon_with_is_what_was_measured(text, ohms):
    assert measured_ze_ohms(read(text, Unit.OHM)) == ohms

from decimal import Decimal as D

import pytest

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.readings import Unit, read
from jobs.core.electrics.supply_tests import judge_fault_current, judge_ze


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
    [("1.2", None, Outcome.PASS), ("7", None, Outcome.FAIL), ("7", D(10), Outcome.PASS), (">5", None, Outcome.LOOK),
     ("", None, Outcome.UNKNOWN)],
)
def test_fault_current_is_judged_by_what_the_devices_break(text, breaking, outcome):
    assert judge_fault_current(read(text, Unit.KILOAMP), breaking).outcome == outcome

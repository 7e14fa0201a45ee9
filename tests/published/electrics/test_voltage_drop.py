"""Voltage drop and greatest lengths against worked examples.

mV/A/m: BS 7671 Table 4D5; limits 3 % and 5 % of 230 V: Appendix 4, 6.4; Ct: Appendix 4, 6.1, from memory. Sums by hand.
Ring of 106 m: IET On-Site Guide, from memory; radials of 43 m and 33 m likewise.
"""

from decimal import Decimal as D

import pytest

from jobs.core.electrics.cables import Method, find_cable
from jobs.core.electrics.circuit import Circuit, Curve, Device, Part, Supply
from jobs.core.electrics.circuit_checks import longest_run
from jobs.core.electrics.demand import amps_of
from jobs.core.electrics.voltage_drop import drop_limit_volts, drop_volts, temperature_correction
from jobs.core.stages import CircuitKind

SUPPLY = Supply(D("0.35"), D(100))


def circuit(kind, size, amps, load=None, metres=10):
    part = Part(D(metres), Method.C)
    return Circuit("A", "A", kind, find_cable(D(size)), (part,), Device(Curve.B, D(amps), 30), load)


def test_limits_are_6_9_and_11_5_volts():
    assert (drop_limit_volts(CircuitKind.LIGHTING), drop_limit_volts(CircuitKind.RING)) == (D("6.9"), D("11.5"))


def test_shower_of_9_5_kw_at_18_m_loses_3_271_volts():
    amps = amps_of(D(9500))
    volts = drop_volts(find_cable(D(10)), D(18), amps)

    assert float(amps) == pytest.approx(41.304, abs=0.0005)
    assert float(volts) == pytest.approx(3.271, abs=0.0005)
    assert float(volts / 230 * 100) == pytest.approx(1.42, abs=0.005)


@pytest.mark.parametrize(("metres", "volts", "fits"), [(39, "6.786", True), (40, "6.960", False)])
def test_lighting_of_6_a_fits_39_m_and_no_40_by_the_table_alone(metres, volts, fits):
    found = drop_volts(find_cable(D("1.5")), D(metres), D(6))

    assert found == D(volts)
    assert (found <= drop_limit_volts(CircuitKind.LIGHTING)) == fits


@pytest.mark.parametrize(
    ("carried", "rated", "expected"), [(13, 20, "0.923"), (26, 37, "0.9325"), (20, 27, "0.940"), (32, 47, "0.928")]
)
def test_correction_for_temperature_is_that_worked_out(carried, rated, expected):
    assert float(temperature_correction(D(carried), D(rated))) == pytest.approx(float(expected), abs=0.0005)


def test_ring_may_be_106_5_m_by_drop_and_173_5_m_by_zs_so_106_5_governs():
    run = longest_run(circuit(CircuitKind.RING, "2.5", 32), SUPPLY)

    assert float(run.by_drop_metres) == pytest.approx(106.5, rel=0.005)
    assert float(run.by_zs_metres) == pytest.approx(173.5, rel=0.005)
    assert run.metres == run.by_drop_metres


@pytest.mark.parametrize(
    ("kind", "size", "amps", "load", "metres"),
    [
        (CircuitKind.RADIAL, "4", 32, 26, "43.1"),
        (CircuitKind.RADIAL, "2.5", 20, 20, "34.0"),
        (CircuitKind.COOKER, "6", 32, 32, "53.0"),
    ],
)
def test_radials_may_be_as_long_as_worked_out(kind, size, amps, load, metres):
    run = longest_run(circuit(kind, size, amps, D(load)), SUPPLY)

    assert float(run.by_drop_metres) == pytest.approx(float(metres), rel=0.005)

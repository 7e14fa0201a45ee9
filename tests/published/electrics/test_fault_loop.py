"""Resistances, greatest Zs and design Zs against tables and worked examples.

R1 + R2 in mΩ/m: Locke, Guide to the Wiring Regulations, Appendix 4, made of the maxima of IEC 60228. Greatest Zs:
BS 7671:2018 Table 41.3 with Cmin 0.95, printed values from memory, to ±0.01. Examples worked out by hand.
"""

from decimal import Decimal as D

import pytest

from jobs.core.electrics.cables import CABLES, RESISTANCES, Method, find_cable
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Circuit, Curve, Device, Earthing, Part, Supply
from jobs.core.electrics.fault_loop import (
    check_fault_loop,
    cold_limit_ohms,
    design_zs_ohms,
    hot,
    line_and_cpc_ohms,
    printed,
    zs_limit_ohms,
)
from jobs.core.stages import CircuitKind


def circuit(kind, size, metres, amps):
    part = Part(D(metres), Method.C)
    return Circuit("A", "A", kind, find_cable(D(size)), (part,), Device(Curve.B, D(amps), 30))


def supply(ze, earthing=Earthing.TN_C_S):
    return Supply(D(ze), D(100), earthing)


@pytest.mark.parametrize(
    ("size", "cpc", "both", "both_hot"),
    [
        ("1.0", "1.0", "36.20", "43.44"), ("1.5", "1.0", "30.20", "36.24"), ("2.5", "1.5", "19.51", "23.41"),
        ("4", "1.5", "16.71", "20.05"), ("6", "2.5", "10.49", "12.59"), ("10", "4", "6.44", "7.73"), ("16", "6", "4.23", "5.08"),
    ],
)
def test_r1_and_r2_are_those_of_the_table(size, cpc, both, both_hot):
    cable = find_cable(D(size))
    milliohms = line_and_cpc_ohms(cable, D(1)) * 1000

    assert (cable.cpc_mm2, milliohms) == (D(cpc), D(both))
    assert float(hot(milliohms)) == pytest.approx(float(both_hot), abs=0.01)


def test_maxima_are_those_of_iec_60228():
    expected = {"1.0": "18.1", "1.5": "12.1", "2.5": "7.41", "4": "4.61", "6": "3.08", "10": "1.83", "16": "1.15"}

    assert {D(size): D(ohms) for size, ohms in expected.items()} == RESISTANCES


@pytest.mark.parametrize("cable", CABLES, ids=lambda cable: cable.name)
def test_voltage_drop_of_the_table_is_that_of_two_hot_conductors(cable):
    """mV/A/m of Table 4D5 (from memory) against 2 × IEC 60228 × 1.20: the table rounds to two or three figures."""
    assert float(cable.millivolts) == pytest.approx(float(hot(2 * cable.r1)), rel=0.025)


@pytest.mark.parametrize(
    ("amps", "b", "b_cold", "c", "c_cold"),
    [
        (6, "7.28", "5.82", "3.64", "2.91"), (10, "4.37", "3.49", "2.19", "1.74"), (16, "2.73", "2.18", "1.37", "1.09"),
        (20, "2.19", "1.74", "1.09", "0.87"), (32, "1.37", "1.09", "0.68", "0.54"), (40, "1.09", "0.87", "0.55", "0.43"),
    ],
)
def test_greatest_zs_is_that_of_the_table_within_a_hundredth(amps, b, b_cold, c, c_cold):
    for curve, full, cold in ((Curve.B, b, b_cold), (Curve.C, c, c_cold)):
        device = Device(curve, D(amps))
        assert abs(zs_limit_ohms(device) - D(full)) <= D("0.01")
        assert abs(printed(cold_limit_ohms(device)) - D(cold)) <= D("0.01")


def test_zs_of_the_60_m_ring_is_0_7012_ohm_and_passes():
    ring, tn = circuit(CircuitKind.RING, "2.5", 60, 32), supply("0.35")

    assert float(design_zs_ohms(ring, tn)) == pytest.approx(0.7012, abs=0.00005)
    assert float(zs_limit_ohms(ring.device)) == pytest.approx(1.3656, abs=0.0001)
    assert {check.outcome for check in check_fault_loop(ring, tn)} == {Outcome.PASS}


def test_cold_reading_of_that_ring_is_0_6427_and_under_0_8_of_the_limit():
    ring = circuit(CircuitKind.RING, "2.5", 60, 32)
    cold = D("0.35") + line_and_cpc_ohms(ring.cable, ring.metres, is_ring=True)

    assert float(cold) == pytest.approx(0.6427, abs=0.0001)
    assert cold <= cold_limit_ohms(ring.device)
    assert cold_limit_ohms(ring.device) == D("1.0925")


def test_radial_of_22_m_has_r1_and_r2_of_0_4292_ohm_and_zs_of_1_3151():
    radial, tn = circuit(CircuitKind.RADIAL, "2.5", 22, 20), supply("0.80")

    assert float(line_and_cpc_ohms(radial.cable, radial.metres)) == pytest.approx(0.4292, abs=0.0001)
    assert float(design_zs_ohms(radial, tn)) == pytest.approx(1.3151, abs=0.0001)
    assert zs_limit_ohms(radial.device) == D("2.185")


def test_limit_behind_a_30_ma_rcd_is_1667_ohm_when_the_house_has_its_own_electrode():
    """BS 7671 Table 41.5, from memory: 30 mA, 1667 Ω."""
    limit = zs_limit_ohms(Device(Curve.B, D(32), 30), supply("20", Earthing.TT))

    assert round(limit) == 1667

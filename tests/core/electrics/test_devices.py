from decimal import Decimal as D

import pytest

from jobs.core.electrics.devices import read_device


@pytest.mark.parametrize(
    ("words", "curve", "milliamps", "rcd_type"),
    [
        ("RCBO type A, B curve", "B", 30, "A"),
        ("RCBO type AC, C curve, 100 mA", "C", 100, "AC"),
        ("MCB type C", "C", None, None),
        ("B32 RCBO 30mA type F", "B", 30, "F"),
        ("C-curve rcbo", "C", 30, None),
        ("MCB, curve B, behind 30 mA RCD type A", "B", 30, "A"),
        ("00 mA B curve", "B", None, None),
    ],
)
def test_device_is_read_when_written_as_people_do(words, curve, milliamps, rcd_type):
    device = read_device(words, D(32)).device

    assert (device.curve, device.rcd_milliamps, device.rcd_type, device.rating_amps) == (curve, milliamps, rcd_type, 32)


def test_what_is_not_written_is_said_to_be_assumed():
    assert read_device("RCBO type A, B curve", D(32)).assumed == ("Residual current not written: 30 mA is assumed.",)
    assert read_device("", D(6)).assumed == ("Curve not written: type B is assumed.",)


def test_delayed_rcd_is_told_apart():
    assert read_device("RCD type S 100 mA, B curve", D(63)).device.is_time_delayed


@pytest.mark.parametrize("amps", [None, D(0), D(-1)])
def test_nothing_is_read_without_a_rating(amps):
    assert read_device("RCBO type A, B curve", amps) is None

"""A ring of 60 m in 2.5/1.5 mm²: its three loops and its cross-connected readings.

Conductor maxima 7.41 and 12.1 mΩ/m at 20 °C: IEC 60228. Ring method, (r1 + rn) ÷ 4 and (r1 + r2) ÷ 4: Linsley, Basic
Electrical Installation Work, p. 365. The figures are worked out by hand from these.
"""

from decimal import Decimal as D

import pytest

from jobs.core.electrics.cables import find_cable
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.readings import Reading, Unit, read
from jobs.core.electrics.ring import RingEnds, check_cross_cpc, check_ends, expected_ends
from jobs.core.electrics.sockets import SocketMeasure, SocketRead, highest, judge_sockets

ENDS = expected_ends(find_cable(D("2.5")), D(60))


def test_loops_are_those_worked_out_by_hand():
    assert (ENDS.r1, ENDS.rn, ENDS.r2) == (D("0.4446"), D("0.4446"), D("0.7260"))


def test_cross_connected_readings_are_a_quarter_of_both_loops():
    assert (ENDS.cross_live, ENDS.cross_cpc) == (D("0.2223"), D("0.29265"))


def test_ratio_of_cpc_to_line_is_that_of_their_sizes():
    ratio = check_ends(ENDS)[1]

    assert float(ratio.result) == pytest.approx(1.633, abs=0.0005)
    assert ratio.outcome == Outcome.PASS


@pytest.mark.parametrize(("share", "expected"), [("0", "0.27575"), ("0.25", "0.28843"), ("0.5", "0.29265")])
def test_line_to_cpc_along_the_ring_lies_between_the_two_ends_worked_out(share, expected):
    """Two paths in parallel, by Ohm's law alone: x of one loop and 1 − x of the other, each way round."""
    x = D(share)
    one, other = x * ENDS.r1 + (1 - x) * ENDS.r2, (1 - x) * ENDS.r1 + x * ENDS.r2
    reading = one * other / (one + other)

    assert float(reading) == pytest.approx(float(expected), abs=0.0001)
    assert ENDS.lowest_cross_cpc <= reading <= ENDS.cross_cpc


def test_spur_reads_higher_and_is_remarked():
    check = check_cross_cpc(RingEnds(D("0.44"), D("0.45"), D("0.73")), [D("0.28"), D("0.29"), D("0.41")])

    assert check.outcome == Outcome.LOOK
    assert "spur" in check.advice


def along(share: D) -> D:
    """Line to cpc a share of the loop from one end: two paths in parallel, by Ohm's law alone."""
    one = share * ENDS.r1 + (1 - share) * ENDS.r2
    other = (1 - share) * ENDS.r1 + share * ENDS.r2
    return one * other / (one + other)


def read_as(ohms: D) -> Reading:
    return read(f"{ohms:.2f}", Unit.OHM)


def test_sockets_along_a_sound_ring_are_alike_and_the_highest_is_r1_plus_r2():
    """Substantially the same at each socket, the highest is R1 + R2: Linsley, p. 365."""
    sockets = [SocketRead(f"socket {number}", read_as(along(D(number) / 8))) for number in range(1, 8)]
    found = judge_sockets(SocketMeasure.CROSS_CPC, sockets, ENDS)

    assert found.outcome == Outcome.PASS
    assert float(highest(sockets).reading.amount) == pytest.approx(float(ENDS.cross_cpc), abs=0.005)


def test_socket_on_a_spur_reads_higher_by_the_spurs_own_conductors_and_is_named():
    """5 m of 2.5/1.5 mm² more: 5 × 19.51 mΩ/m (IEC 60228) = 0.098 Ω."""
    sockets = [SocketRead(f"socket {number}", read_as(along(D(number) / 8))) for number in range(1, 8)]
    spur = SocketRead("on the spur", read_as(along(D("0.5")) + D("0.09755")))
    found = judge_sockets(SocketMeasure.CROSS_CPC, [*sockets, spur], ENDS)

    assert [one.name for one in found.sockets if one.outcome == Outcome.LOOK] == ["on the spur"]
    assert highest([*sockets, spur]).name == "on the spur"

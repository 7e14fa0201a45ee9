from decimal import Decimal as D

import pytest

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.readings import Unit, read
from jobs.core.electrics.ring import RingEnds
from jobs.core.electrics.sockets import SocketMeasure, SocketRead, highest, judge_sockets, name_sockets

ENDS = RingEnds(D("0.44"), D("0.45"), D("0.73"))
NAMES = ("Lounge, twin socket", "Hall, socket", "Kitchen, fused spur", "Landing, socket")


def socket_reads(*texts):
    return [SocketRead(name, read(text, Unit.OHM)) for name, text in zip(NAMES, texts, strict=False)]


def judged(*texts, measure=SocketMeasure.CROSS_LIVE, ends=ENDS):
    return judge_sockets(measure, socket_reads(*texts), ends)


def test_ring_passes_when_every_socket_reads_alike():
    found = judged("0.22", "0,23", "0.22", "0.24")
    assert found.outcome == Outcome.PASS
    assert found.holds == []


def test_odd_socket_is_named_as_perhaps_a_spur_when_it_reads_higher():
    found = judged("0.22", "0.23", "0.39", "0.22")
    assert [one.outcome for one in found.sockets] == [Outcome.PASS, Outcome.PASS, Outcome.LOOK, Outcome.PASS]
    assert "perhaps it hangs on a spur" in found.sockets[2].advice
    assert "Higher than the others: Kitchen, fused spur." in [check.advice for check in found.checks]


def test_nobody_is_called_odd_when_only_two_sockets_differ():
    found = judged("0.22", "0.39")
    assert [one.outcome for one in found.sockets] == [Outcome.PASS, Outcome.PASS]
    assert found.outcome == Outcome.LOOK
    assert "read more sockets" in found.checks[0].advice


def test_climbing_readings_suggest_ends_of_the_same_leg():
    """Same legs joined read 0 at the board and most at the middle (common practice, no source)."""
    found = judged("0.18", "0.21", "0.24", "0.27", ends=None)
    assert "same leg" in found.checks[0].advice


def test_open_socket_fails_and_holds():
    found = judged("0.22", "OL", "0.23")
    assert found.sockets[1].outcome == found.outcome == Outcome.FAIL
    assert found.holds == ["Line to neutral, ends cross-connected: no continuity at Hall, socket."]


def test_all_sockets_off_by_the_same_are_seen_against_the_ends():
    found = judged("0.44", "0.45", "0.44")
    assert (found.checks[0].outcome, found.checks[1].outcome) == (Outcome.PASS, Outcome.LOOK)


@pytest.mark.parametrize(("text", "outcome"), [("", Outcome.NOT_NEEDED), ("LIM", Outcome.UNKNOWN), ("ok", Outcome.UNKNOWN)])
def test_socket_without_a_figure_is_no_measurement(text, outcome):
    found = judged(text)
    assert found.sockets[0].outcome == outcome
    assert found.checks == ()


def test_natural_climb_towards_cpc_is_allowed_for():
    """A long ring of 2.5/1.5 mm² differs by 0.06 Ω along itself by Ohm's law alone."""
    long_ring = RingEnds(D("1.5"), D("1.5"), D("2.45"))
    found = judged("0.93", "0.95", "0.99", measure=SocketMeasure.CROSS_CPC, ends=long_ring)
    assert found.checks[0].outcome == Outcome.PASS


def test_highest_to_cpc_is_r1_plus_r2():
    assert highest(socket_reads("0.28", "LIM", "0.41", "")).name == "Kitchen, fused spur"
    assert highest(socket_reads("", "OL")) is None


def test_sockets_that_would_be_called_alike_are_numbered():
    assert name_sockets([("Hall", "socket"), ("Lounge", "socket"), ("Hall", "socket")]) == [
        "Hall, socket 1", "Lounge, socket", "Hall, socket 2",
    ]

from decimal import Decimal

from jobs.core.electrics.bathroom import BathPlace
from jobs.core.electrics.cables import find_cable
from jobs.core.electrics.calculators import answer_bathroom, answer_clips, answer_ring, answer_zones
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.zones import Visible, WallFace

WALL, SOCKET = WallFace(4000, 2400), Visible("the point", 2000, 450)
DOWN = {"start": (2000, 2400), "end": (2000, 450)}


def test_ring_of_60_m_reads_as_worked_out_by_hand() -> None:
    """IEC 60228 maxima: 7.41 and 12.1 mΩ/m, so r1 = 0.4446, r2 = 0.726, R1 + R2 = 0.2927 Ω."""
    figures = dict(answer_ring(find_cable(Decimal("2.5")), Decimal(60)).lines)
    assert figures["r1 and rn, end to end"] == "0.445 Ω"
    assert figures["r2, end to end"] == "0.726 Ω"
    assert "0.293 Ω half-way" in figures["Line to cpc at each socket, cross-connected"]


def test_clips_are_counted_by_the_width_of_the_cable() -> None:
    """Whitfield's Table 4.10: up to 9 mm wide every 250 mm across and 400 mm down; 12 m and 2.4 m make 48 and 6."""
    figures = dict(answer_clips(find_cable(Decimal("1.5")), across_metres=Decimal(12), down_metres=Decimal("2.4")).lines)
    assert figures["Clips"].endswith("= 54")


def test_cable_straight_down_to_the_point_is_in_a_zone() -> None:
    answer = answer_zones(WALL, SOCKET, **DOWN)
    assert [check.outcome for check in answer.checks] == [Outcome.PASS, Outcome.PASS]
    assert ("Straight up and down from the point", "1957 to 2043 mm across, 0 to 2400 mm up") in answer.lines


def test_cable_aslant_is_outside_every_zone() -> None:
    answer = answer_zones(WALL, SOCKET, start=(500, 2000), end=(2000, 450), has_rcd=False)
    assert [check.outcome for check in answer.checks] == [Outcome.FAIL, Outcome.FAIL]


def test_other_side_of_a_thin_wall_is_told_with_its_row() -> None:
    answer = answer_zones(WALL, SOCKET, **DOWN, thickness_mm=95)
    assert answer.lines[-1][1].startswith("the zones count there too")
    assert [row.code for row in answer.rules] == ["ZONE-REVERSE"]


def test_socket_is_judged_by_both_figures_when_they_differ() -> None:
    """2.5 m since 2022, 3 m before (both from memory): at 2.7 m only the later one is kept."""
    answer = answer_bathroom(BathPlace(2700, 450))
    assert [check.outcome for check in answer.checks] == [Outcome.PASS, Outcome.FAIL]


def test_every_answer_names_the_rows_it_stands_on() -> None:
    answers = (
        answer_ring(find_cable(Decimal(4)), Decimal(10)), answer_bathroom(BathPlace(0, 1000)),
        answer_clips(find_cable(Decimal(4)), across_metres=Decimal(1), down_metres=Decimal(1)),
    )
    assert all(answer.rules and all(row.source for row in answer.rules) for answer in answers)

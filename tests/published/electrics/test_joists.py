"""Holes and notches of a 200 mm joist over 4 m against the published limits.

Holes and the first notch rule: LABC guidance on notches and holes in solid timber joists (¼ depth, 0.25–0.4 span,
3 diameters; 0.125 depth, 0.07–0.25 span). Second notch rule: NHBC Standards 2020, 6.4.18 (0.15 depth, 0.1–0.2 span).
"""

import pytest

from jobs.core.electrics.joists import LABC, NHBC, Joist, judge_hole, judge_notch

JOIST = Joist(span_mm=4000, depth_mm=200)


def by(verdicts, source: str) -> bool:
    return next(verdict.passes for verdict in verdicts if verdict.source == source)


@pytest.mark.parametrize(
    ("diameter_mm", "place_mm", "spacing_mm", "passes"),
    [
        (25, 1200, None, True),
        (50, 1000, None, True),
        (50, 1600, None, True),
        (51, 1200, None, False),
        (25, 800, None, False),
        (25, 1601, None, False),
        (25, 2800, None, True),
        (25, 1200, 60, False),
        (25, 1200, 75, True),
    ],
)
def test_hole_is_judged_by_size_zone_and_spacing(diameter_mm, place_mm, spacing_mm, passes):
    assert by(judge_hole(JOIST, diameter_mm, place_mm, spacing_mm=spacing_mm), LABC) == passes


@pytest.mark.parametrize(
    ("notch_mm", "place_mm", "first", "second"),
    [(20, 600, True, True), (25, 280, True, False), (30, 600, False, True), (31, 600, False, False), (20, 1100, False, False)],
)
def test_notch_is_judged_by_both_rules_apart(notch_mm, place_mm, first, second):
    verdicts = judge_notch(JOIST, notch_mm, place_mm)

    assert (by(verdicts, LABC), by(verdicts, NHBC)) == (first, second)


def test_caps_hold_however_deep_the_joist():
    deep = Joist(4000, 400)

    assert not by(judge_hole(deep, 66, 1200), LABC)
    assert not by(judge_notch(deep, 36, 600), LABC)


def test_deep_joist_and_close_hole_need_an_engineer():
    assert not by(judge_notch(Joist(4000, 251), 20, 600), NHBC)
    assert not by(judge_hole(JOIST, 25, 1200, notch_gap_mm=99), NHBC)

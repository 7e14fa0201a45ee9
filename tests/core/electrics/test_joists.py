from jobs.core.electrics.joists import Joist, judge_hole, judge_notch


def test_verdict_says_every_limit_that_is_not_kept():
    verdict = judge_hole(Joist(4000, 200), 60, 800, spacing_mm=100)[0]

    assert verdict.wrong == (
        "The hole is 60 mm, more than 50 mm.",
        "It lies 800 mm from the support, not 1000 to 1600 mm from the support.",
        "Holes stand 100 mm between centres, less than 180 mm.",
    )


def test_limits_are_said_even_when_they_are_kept():
    verdict = judge_notch(Joist(4000, 195), 20, 600)[0]

    assert (verdict.passes, verdict.limits) == (True, "at most 24.4 mm deep, 280 to 1000 mm from the support")

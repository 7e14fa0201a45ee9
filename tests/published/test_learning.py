"""The posterior of a normal mean and variance against worked examples of textbooks (values from memory)."""

from math import exp, sqrt
from statistics import NormalDist, fmean, pvariance

import pytest

from jobs.core.learning import Belief, Record, learn

MIDGE_WINGS = (1.64, 1.70, 1.72, 1.74, 1.82, 1.82, 1.82, 1.90, 2.08)
"""Wing lengths of nine midges in mm."""


def record(value: float) -> Record:
    """A record whose log ratio is the value."""
    return Record(1.0, exp(value))


def test_midge_wings_give_the_books_posterior_when_learned() -> None:
    """Hoff, A First Course in Bayesian Statistical Methods, section 5.3: prior mean 1.9 and variance 0.01, each worth
    one observation; posterior mean 1.814, variance 0.015, each worth ten."""
    after = learn(Belief(1.9, 1, sqrt(0.01), 1), [record(length) for length in MIDGE_WINGS])
    assert after.mean == pytest.approx(1.814, abs=0.0005)
    assert after.spread**2 == pytest.approx(0.015, abs=0.0005)
    assert (after.packages, after.spread_packages) == (10, 10)


def test_the_wings_are_those_of_the_book_when_summed_up() -> None:
    """Hoff gives their mean as 1.804 and their sample variance as 0.0169."""
    assert fmean(MIDGE_WINGS) == pytest.approx(1.804, abs=0.0005)
    assert pvariance(MIDGE_WINGS) * 9 / 8 == pytest.approx(0.0169, abs=0.0001)


def test_the_mean_is_the_precision_weighted_one_when_the_variance_is_known() -> None:
    """Gelman et al., Bayesian Data Analysis, section 2.5: with variance σ² known and prior N(μ0, τ0²), n values give
    (μ0/τ0² + n ȳ/σ²) / (1/τ0² + n/σ²), and a prior worth κ0 values is one with τ0² = σ²/κ0."""
    variance, prior_mean, worth = 0.09, 0.1, 3.0
    values = [0.3, 0.5, -0.2, 0.6]
    prior_variance = variance / worth
    book = (prior_mean / prior_variance + sum(values) / variance) / (1 / prior_variance + len(values) / variance)
    assert learn(Belief(prior_mean, worth), [record(value) for value in values]).mean == pytest.approx(book)


def test_weights_are_repeated_records_when_the_mean_is_learned() -> None:
    """A value of weight one half counts as half a value: two such are one (weighted likelihood of a normal mean)."""
    halves, whole = [Record(1, exp(0.4), 0.5)] * 2, [record(0.4)]
    assert learn(Belief(), halves).mean == pytest.approx(learn(Belief(), whole).mean)


def test_the_belief_is_found_again_when_records_are_drawn_from_it() -> None:
    """Draws of a known normal, taken evenly: with many of them the posterior is that normal."""
    drawn = [NormalDist(0.2, 0.3).inv_cdf((step + 0.5) / 2000) for step in range(2000)]
    after = learn(Belief(spread=0.25), [record(value) for value in drawn])
    assert after.mean == pytest.approx(0.2, abs=0.002)
    assert after.spread == pytest.approx(0.3, abs=0.003)

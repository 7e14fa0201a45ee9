"""What finished work says about estimates: a firm's hours drift towards its own records, and slowly while those are few.

A kind of work takes its estimate times a factor. Its logarithm y is taken as normal with unknown mean and variance, and
what is believed about the two as normal-inverse-χ² (Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3; Hoff, A
First Course in Bayesian Statistical Methods, section 5.3; both from memory):

    belief     mean μ0, worth κ0 packages; spread σ0 (standard deviation), worth ν0 packages
    records    y_i = log(hours taken / hours estimated), each of weight w_i: what it counts for, one package at most
    W = Σ w_i,  ȳ = Σ w_i y_i / W
    after      κ = κ0 + W          μ = (κ0 μ0 + W ȳ) / κ
               ν = ν0 + n          ν σ² = ν0 σ0² + Σ w_i (y_i - ȳ)² + (κ0 W / κ) (ȳ - μ0)²

So the new hours are the estimate times exp(μ): the estimate counts as κ0 packages, the records as W. What comes out
is the belief to start from when the next packages are finished.

A package's hours are known as a whole. Each kind of work in it is given the part of them that it had of the estimate,
and the package counts for that kind by the same part: one that was nearly all sockets says much about sockets.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import exp, hypot, log, sqrt

PRIOR_PACKAGES = 4.0
"""Finished packages that an estimate of the catalogue is worth (common practice, no source)."""

PRIOR_SPREAD_PACKAGES = 8.0
"""Finished packages that the spread assumed of a stage is worth (common practice, no source)."""

HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True)
class Record:
    """Hours a finished package took of some work, against its estimate, both positive; what it counts for, up to 1."""

    estimated_hours: float
    actual_hours: float
    weight: float = 1.0

    @property
    def log_ratio(self) -> float:
        """Logarithm of hours taken to hours estimated: 0 is as estimated, above is longer."""
        return log(self.actual_hours / self.estimated_hours)


@dataclass(frozen=True)
class Belief:
    """What is believed of log(hours taken / hours estimated): its mean and its spread, each worth so many packages."""

    mean: float = 0.0
    packages: float = PRIOR_PACKAGES
    spread: float = 0.0
    spread_packages: float = PRIOR_SPREAD_PACKAGES

    @property
    def factor(self) -> float:
        """Hours expected for each hour estimated."""
        return exp(self.mean)

    @property
    def distance(self) -> float:
        """How far a package lands from its estimate: spread and mean together, as a standard deviation about 0."""
        return hypot(self.spread, self.mean)


def learn(belief: Belief, records: Iterable[Record]) -> Belief:
    """The belief once these records are in. Records weigh nothing twice: leave out those it already holds."""
    seen = [record for record in records if record.weight > 0]
    weight = sum(record.weight for record in seen)
    if not weight:
        return belief
    average = sum(record.weight * record.log_ratio for record in seen) / weight
    packages, spread_packages = belief.packages + weight, belief.spread_packages + len(seen)
    scatter = sum(record.weight * (record.log_ratio - average) ** 2 for record in seen)
    surprise = belief.packages * weight / packages * (average - belief.mean) ** 2
    variance = (belief.spread_packages * belief.spread**2 + scatter + surprise) / spread_packages
    mean = (belief.packages * belief.mean + weight * average) / packages
    return Belief(mean, packages, sqrt(variance), spread_packages)


def suggest_hours(hours: Decimal, belief: Belief) -> Decimal:
    """The norm that a belief asks for, to the hundredth of an hour."""
    return (hours * Decimal(belief.factor)).quantize(HUNDREDTH, ROUND_HALF_UP)

"""The smallest cable for a B32 as it lies, against a worked example.

Ratings: BS 7671 Table 4D5; grouping: Table 4C1, both from memory, check. Ambient factors of Table 4B1 are compared with
√((70 − Ta) ÷ 40), which they round.
"""

from decimal import Decimal as D
from math import sqrt

import pytest

from jobs.core.electrics.cables import Method, ambient_rule
from jobs.core.electrics.capacity import needed_rating, smallest_by_rating
from jobs.core.electrics.circuit import Part


@pytest.mark.parametrize(
    ("method", "grouped", "needed", "size"),
    [(Method.C, 1, "32", "4"), (Method.M101, 1, "32", "10"), (Method.M101, 2, "40", "16")],
)
def test_cable_for_32_a_is_the_smallest_that_carries_it_as_it_lies(method, grouped, needed, size):
    part = Part(D(10), method, grouped)
    rating = needed_rating(D(32), part)

    assert rating == D(needed)
    assert smallest_by_rating(rating, part).live_mm2 == D(size)


@pytest.mark.parametrize("degrees", [30, 35, 40, 45, 50, 55, 60])
def test_ambient_factor_is_the_root_of_what_heat_is_left(degrees):
    assert float(ambient_rule(degrees).value) == pytest.approx(sqrt((70 - degrees) / 40), abs=0.006)

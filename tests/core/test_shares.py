from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.core.shares import share_out

STEP = D("0.001")


@given(st.integers(0, 10**6), st.lists(st.integers(0, 1000), min_size=1, max_size=30))
def test_parts_add_up_exactly_when_shared_out(total, weights):
    assert sum(share_out(total * STEP, [D(weight) for weight in weights], STEP)) == total * STEP


@given(st.integers(0, 10**6), st.lists(st.integers(1, 1000), min_size=1, max_size=30))
def test_no_part_is_a_step_off_its_exact_share_when_shared_out(total, weights):
    parts = share_out(total * STEP, [D(weight) for weight in weights], STEP)
    exact = [total * STEP * weight / sum(weights) for weight in weights]
    assert all(abs(part - share) < STEP for part, share in zip(parts, exact, strict=True))


def test_parts_are_equal_when_no_weight_is_positive():
    assert share_out(D(3), [D(0)] * 3, D(1)) == [1, 1, 1]


def test_sharing_is_refused_when_nobody_takes_part():
    with pytest.raises(ValueError, match="nothing"):
        share_out(D(1), [], D(1))


def test_sharing_is_refused_when_the_total_is_no_whole_number_of_steps():
    with pytest.raises(ValueError, match="steps"):
        share_out(D("1.5"), [D(1)], D(1))

"""The Hungarian method against `scipy.optimize.linear_sum_assignment`."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from jobs.core.planning.assignment import cheapest

COSTS = st.integers(1, 5).flatmap(
    lambda columns: st.lists(st.lists(st.integers(-9, 9), min_size=columns, max_size=columns), min_size=1, max_size=columns)
)


@given(COSTS)
def test_the_sum_is_the_least_when_rows_choose_columns(costs: list[list[int]]) -> None:
    chosen = cheapest(costs)
    rows, columns = linear_sum_assignment(np.array(costs))
    assert len(set(chosen)) == len(chosen)
    assert sum(costs[row][column] for row, column in enumerate(chosen)) == np.array(costs)[rows, columns].sum()


def test_nothing_is_chosen_when_there_are_no_rows() -> None:
    assert cheapest([]) == []

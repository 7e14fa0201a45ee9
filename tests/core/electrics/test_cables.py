from decimal import Decimal as D

import pytest

from jobs.core.electrics.cables import CABLES, Method, ambient_rule, find_cable, grouping_rule, insulation_rule, list_table_rules
from jobs.core.electrics.capacity import counts_in_group
from jobs.core.electrics.circuit import Part


def test_rating_grows_with_size_in_every_method():
    for method in Method:
        ratings = [cable.rating(method) for cable in CABLES]
        assert ratings == sorted(set(ratings))


@pytest.mark.parametrize(("circuits", "factor"), [(1, "1"), (2, "0.80"), (6, "0.57"), (10, "0.45"), (20, "0.38")])
def test_lower_factor_counts_when_the_table_skips_a_number(circuits, factor):
    assert grouping_rule(circuits).value == D(factor)


@pytest.mark.parametrize(("length", "factor"), [(0, "1"), (1, "0.88"), (50, "0.88"), (51, "0.78"), (499, "0.5"), (5000, "0.5")])
def test_insulation_counts_by_the_next_longer_row(length, factor):
    assert insulation_rule(length).value == D(factor)


@pytest.mark.parametrize(("degrees", "factor"), [(-5, "1.03"), (25, "1.03"), (26, "1"), (31, "0.94"), (60, "0.50")])
def test_ambient_counts_by_the_next_hotter_row(degrees, factor):
    assert ambient_rule(degrees).value == D(factor)


def test_lightly_loaded_cable_does_not_count_in_its_group():
    part = Part(D(1), Method.C, grouped=2)

    assert not counts_in_group(D("6.4"), find_cable(D("2.5")), part)
    assert counts_in_group(D("6.5"), find_cable(D("2.5")), part)


def test_every_cell_has_a_code_of_its_own():
    codes = [row.code for row in list_table_rules()]

    assert len(codes) == len(set(codes))


def test_unlisted_size_has_no_cable():
    assert find_cable(D("25")) is None

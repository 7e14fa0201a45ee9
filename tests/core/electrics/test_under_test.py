"""What stands beside each field leads to rows of rules."""

import re
from decimal import Decimal as D

from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.rule_book import every_rule
from jobs.core.electrics.supply_tests import supply_fields
from jobs.core.electrics.under_test import Measure, UnderTest, WhenTested, fields_for
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind
from tests.core.electrics.cast import SUPPLY, circuit, ring

WORKED_OUT = (Measure.ZS,)
"""Limits that follow from several rows by a formula, which the check shows."""
CIRCUITS = [
    ring(), circuit(), circuit(CircuitKind.ALARMS, "1.5", amps=6, load=1), circuit(CircuitKind.BONDING, "10", device=None),
]


def every_field():
    for one in CIRCUITS:
        for when in WhenTested:
            yield from fields_for(UnderTest(one, SUPPLY), when)
    for earthing in Earthing:
        yield from supply_fields(earthing)


def test_every_figure_beside_a_field_is_the_value_of_one_of_its_rows():
    for field in every_field():
        values = {plain(rule.value) for rule in field.rules if rule.value is not None} | {"250", "500"}
        figures = {plain(D(figure)) for figure in re.findall(r"(?<![a-z])[0-9]+(?:\.[0-9]+)?", field.limit_words)}
        assert field.measure in WORKED_OUT or figures <= values, (field.measure, figures - values)


def test_every_row_beside_a_field_is_on_the_list_of_rules():
    codes = {rule.code for field in every_field() for rule in field.rules}
    assert codes <= every_rule().keys()


def test_what_a_length_gives_stands_on_the_resistances_of_its_cable():
    field = next(one for one in fields_for(UnderTest(ring(), SUPPLY), WhenTested.END) if one.measure == Measure.RING_R1)
    assert {"R-2.5", "R-1.5"} <= {rule.code for rule in field.rules}

"""Greatest demand of a house against a worked example.

Diversity: Whitfield, The Electrician's Guide to the 16th Edition, Table 6.2 (guidance). Sums by hand at 230 V.
"""

from decimal import Decimal as D

import pytest

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.demand import Load, LoadKind, add_up, check_demand, load_of

HOUSE = [
    load_of("Cooker", LoadKind.COOKER, D(12000), has_socket=True),
    Load("Sockets up", LoadKind.SOCKETS, D(32)),
    Load("Sockets down", LoadKind.SOCKETS, D(32)),
    load_of("Lighting", LoadKind.LIGHTING, D(1000)),
    load_of("Immersion", LoadKind.WATER, D(3000)),
]
SHOWER = load_of("Shower", LoadKind.SHOWER, D(9500))


@pytest.mark.parametrize(
    ("kind", "amps"),
    [(LoadKind.COOKER, 27.652), (LoadKind.SOCKETS, 44.8), (LoadKind.LIGHTING, 2.870), (LoadKind.WATER, 13.043)],
)
def test_each_kind_is_counted_as_by_hand(kind, amps):
    line = next(line for line in add_up(HOUSE).lines if line.kind == kind)

    assert float(line.demand_amps) == pytest.approx(amps, abs=0.001)


def test_house_of_88_365_a_fits_a_100_a_supply():
    demand = add_up(HOUSE)

    assert float(demand.amps) == pytest.approx(88.365, abs=0.001)
    assert check_demand(demand, D(100)).outcome == Outcome.PASS


def test_house_with_a_shower_is_flagged_to_designer_and_network_operator():
    check = check_demand(add_up([*HOUSE, SHOWER]), D(100))

    assert float(check.result) == pytest.approx(129.670, abs=0.001)
    assert check.outcome == Outcome.FAIL
    assert "network operator" in check.advice

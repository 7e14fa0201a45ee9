from decimal import Decimal as D

import pytest

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.demand import Load, LoadKind, add_up, check_demand, design_current, load_of
from jobs.core.electrics.loads import load_for
from jobs.core.stages import CircuitKind


def demand_of(kind, *amps, **more):
    return add_up([Load(f"{kind} {number}", kind, D(value), **more) for number, value in enumerate(amps)]).amps


@pytest.mark.parametrize(
    ("kind", "amps", "demand"),
    [
        (LoadKind.POWER, ["30"], "20"), (LoadKind.POWER, ["8"], "8"), (LoadKind.SHOWER, ["40", "30", "20"], "75"),
        (LoadKind.STORAGE, ["10", "5"], "15"), (LoadKind.CHARGER, ["32"], "32"), (LoadKind.SOCKETS, ["20", "32"], "40"),
        (LoadKind.COOKER, ["20", "20"], "26"),
    ],
)
def test_kind_is_counted_by_its_own_way(kind, amps, demand):
    assert demand_of(kind, *amps) == D(demand)


def test_line_shows_formula_numbers_and_rows():
    line = add_up([Load("Cooker", LoadKind.COOKER, D(50), has_socket=True)]).lines[0]

    assert line.numbers == "10 + 0.3 × 40 + 5 = 27 A"
    assert line.formula == "first 10 A + 30 % of the rest + 5 A for a socket"
    assert len(line.rules) == 3


def test_design_current_is_in_full_but_a_cooker_after_diversity():
    assert design_current(load_of("Shower", LoadKind.SHOWER, D(9200))).demand_amps == 40
    assert design_current(load_of("Cooker", LoadKind.COOKER, D(11500))).demand_amps == 22


def test_empty_house_demands_nothing():
    check = check_demand(add_up([]), D(60))

    assert (check.outcome, check.result) == (Outcome.PASS, 0)


def test_load_is_told_from_the_circuit_as_far_as_it_goes():
    assert load_for(CircuitKind.RING, "Sockets", device_amps=D(32)).connected_amps == 32
    assert load_for(CircuitKind.LIGHTING, "Lights", lamps=23).connected_amps == 10
    assert load_for(CircuitKind.RADIAL, "Immersion", watts=D(2300), load_kind=LoadKind.WATER).kind == LoadKind.WATER
    assert load_for(CircuitKind.COOKER, "Cooker") is None
    assert load_for(CircuitKind.BONDING, "Water") is None


def test_negative_load_is_refused():
    with pytest.raises(ValueError, match="negative"):
        Load("x", LoadKind.POWER, D(-1))

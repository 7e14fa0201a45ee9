"""What must hold whatever the figures: longer is never better, bigger never worse, company and heat never help."""

from dataclasses import replace
from decimal import Decimal as D

from hypothesis import given
from hypothesis import strategies as st

from jobs.core.electrics.cables import CABLES, Method
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Circuit, Curve, Device, Earthing, Part, RcdType, Supply
from jobs.core.electrics.circuit_checks import CABLE_CHECKS, judge_circuit, longest_run, what_if
from jobs.core.electrics.demand import Load, LoadKind, add_up
from jobs.core.electrics.devices import read_device
from jobs.core.electrics.judging import judge_readings, what_holds
from jobs.core.electrics.readings import State, Unit, read
from jobs.core.electrics.under_test import UNITS, Measure, UnderTest, WhenTested
from jobs.core.stages import CircuitKind

LENGTHS = st.decimals(D("0.1"), 200, places=1)
PARTS = st.builds(
    Part, LENGTHS, st.sampled_from(Method), st.integers(1, 19), st.booleans(), st.integers(0, 600), st.integers(10, 55)
)
DEVICES = st.builds(
    Device, st.sampled_from(Curve), st.sampled_from([D(6), D(16), D(20), D(32), D(40)]), st.sampled_from([None, 30, 100]),
    st.sampled_from([None, *RcdType]), st.booleans(),
)
SUPPLIES = st.builds(Supply, st.decimals(0, 2, places=2), st.just(D(100)), st.sampled_from(Earthing))
LOADS = st.builds(Load, st.just("a"), st.sampled_from(LoadKind), st.decimals(0, 60, places=1), st.booleans())
CIRCUITS = st.builds(
    Circuit, st.just("A"), st.just("A"), st.sampled_from(CircuitKind), st.sampled_from(CABLES),
    st.lists(PARTS, min_size=1, max_size=3).map(tuple), DEVICES, st.decimals(D("0.5"), 60, places=1),
)


def failed(circuit, supply):
    return {check.code for check in judge_circuit(circuit, supply) if check.outcome == Outcome.FAIL}


def results(circuit, supply):
    return {check.code: check.result for check in judge_circuit(circuit, supply)}


@given(CIRCUITS, SUPPLIES, st.decimals(1, 50, places=1))
def test_longer_is_never_better(circuit, supply, more):
    longer = what_if(circuit, metres=circuit.metres + more)

    assert failed(circuit, supply) <= failed(longer, supply)
    assert results(longer, supply)["zs"] > results(circuit, supply)["zs"]
    assert results(longer, supply)["drop"] > results(circuit, supply)["drop"]


@given(CIRCUITS, SUPPLIES, st.integers(0, 5))
def test_bigger_cable_is_never_worse(circuit, supply, size):
    small, big = replace(circuit, cable=CABLES[size]), replace(circuit, cable=CABLES[size + 1])

    assert failed(big, supply) & set(CABLE_CHECKS) <= failed(small, supply)
    assert results(big, supply)["capacity"] >= results(small, supply)["capacity"]
    assert results(big, supply)["drop"] < results(small, supply)["drop"]


@given(PARTS, st.sampled_from(CABLES))
def test_company_heat_and_insulation_never_raise_capacity(part, cable):
    amps = part.capacity_amps(cable)

    assert replace(part, grouped=part.grouped + 1).capacity_amps(cable) <= amps
    assert replace(part, ambient_c=part.ambient_c + 5).capacity_amps(cable) <= amps
    assert replace(part, surrounded_mm=part.surrounded_mm + 50).capacity_amps(cable) <= amps


@given(CIRCUITS, SUPPLIES)
def test_longest_run_just_passes(circuit, supply):
    metres = longest_run(circuit, supply).metres
    if metres and metres < 10_000:
        at_most = what_if(circuit, metres=metres * D("0.999"))
        assert not failed(at_most, supply) & {"zs", "drop"}
        assert failed(what_if(circuit, metres=metres * D("1.001")), supply) & {"zs", "drop"}


@given(st.lists(LOADS, max_size=8))
def test_demand_never_falls_when_a_load_is_added(loads):
    assert add_up(loads[:-1]).amps <= add_up(loads).amps


@given(st.one_of(st.text(max_size=60), st.from_regex(r"[<>]?-?[0-9]{0,12}[.,]?[0-9]{0,4} ?[a-zA-ZΩ/]{0,6}", fullmatch=True)),
       st.sampled_from(Unit))
def test_reading_never_raises_whatever_is_written(text, unit):
    reading = read(text, unit)

    assert bool(reading.problem) == (reading.state == State.REFUSED)
    assert isinstance(reading.words(unit), str)


@given(st.text(max_size=40), st.one_of(st.none(), st.decimals(1, 125, places=1)))
def test_device_never_raises_whatever_is_written(words, amps):
    found = read_device(words, amps)

    assert (found is None) == (amps is None)


@given(st.decimals(0, 900, places=2))
def test_comma_and_point_read_alike(amount):
    assert read(f"{amount:f}".replace(".", ","), Unit.OHM).amount == read(f"{amount:f} Ω", Unit.OHM).amount == amount


@given(CIRCUITS, SUPPLIES, st.dictionaries(st.sampled_from(Measure), st.one_of(
    st.text(max_size=12), st.sampled_from(["0.3", ">200", "<0.5", "∞", "LIM", "N/A", "ok", "x", "0", "350", "no trip"])
)), st.sampled_from(WhenTested))
def test_judging_never_raises_whatever_was_read(circuit, supply, written, time):
    readings = {measure: read(text, UNITS[measure]) for measure, text in written.items()}
    rows = judge_readings(readings, UnderTest(circuit, supply), time)

    assert all(isinstance(reason, str) for reason in what_holds(rows))
    assert [row for row in rows if row.outcome == Outcome.FAIL and not row.look_for] == []

from dataclasses import replace
from decimal import Decimal as D

import pytest

from jobs.core.electrics.cables import Method, find_cable
from jobs.core.electrics.checks import Outcome, worst_of
from jobs.core.electrics.circuit import Earthing, Part, RcdType, Supply
from jobs.core.electrics.circuit_checks import judge_circuit, longest_run, suggest_cable, what_if
from jobs.core.electrics.rule_book import every_rule
from jobs.core.stages import CircuitKind
from tests.core.electrics.cast import SUPPLY, circuit, device, ring


def by_code(given, supply=SUPPLY):
    return {check.code: check for check in judge_circuit(given, supply)}


def test_usual_ring_passes_every_check():
    assert {check.outcome for check in judge_circuit(ring(), SUPPLY)} == {Outcome.PASS}


def test_every_figure_is_traced_to_a_row():
    rows = every_rule()
    used = [row for check in (*judge_circuit(ring(), SUPPLY), *judge_circuit(circuit(), SUPPLY)) for row in check.rules]

    assert [row.code for row in used if rows[row.code] != row] == []
    assert all(check.rules and check.numbers for check in judge_circuit(ring(), SUPPLY))


def test_worst_part_governs_when_a_cable_lies_in_several_ways():
    parts = (Part(D(18), Method.C), Part(D(2), Method.M103), Part(D(0), Method.M101, grouped=6))

    check = by_code(circuit(parts=parts))["capacity"]

    assert (check.result, check.outcome) == (D("13.5"), Outcome.FAIL)
    assert "103" in check.numbers


def test_cable_in_insulation_carries_half_of_what_it_does_clipped():
    assert Part(D(1), Method.C, surrounded_mm=500).capacity_amps(find_cable(D("2.5"))) == D("13.5")
    assert Part(D(1), Method.M103, surrounded_mm=50).capacity_amps(find_cable(D("2.5"))) == D("13.5")


def test_drop_passes_only_by_temperature_and_says_so():
    check = by_code(circuit(CircuitKind.LIGHTING, "1.5", 40, amps=6, load=6))["drop"]

    assert check.outcome == Outcome.PASS
    assert "the table alone gives 6.96 V" in check.advice


def test_smallest_cable_is_suggested_with_what_rules_out_the_next_smaller():
    suggestion = suggest_cable(circuit(CircuitKind.COOKER, "2.5", 20, amps=32, load=28, method=Method.M101), SUPPLY)

    assert suggestion.cable.live_mm2 == 10
    assert suggestion.words == "10/4 mm²: the next smaller fails on Device within the cable (In ≤ Iz)."


def test_voltage_drop_drives_the_cable_when_the_run_is_long():
    suggestion = suggest_cable(circuit("radial", "2.5", 60, amps=20, load=20), SUPPLY)

    assert suggestion.cable.live_mm2 == 6
    assert suggestion.drivers == ("Voltage drop",)


def test_nothing_is_suggested_when_no_size_or_nothing_known():
    assert suggest_cable(circuit(metres=900), SUPPLY).words.startswith("No listed size passes")
    assert suggest_cable(circuit(parts=()), SUPPLY).words == "Cannot be said yet."


def test_unlisted_cable_leaves_its_checks_open():
    checks = by_code(replace(circuit(), cable=None))

    assert {checks[code].outcome for code in ("capacity", "drop", "zs", "disconnection", "cpc")} == {Outcome.UNKNOWN}


def test_what_if_changes_method_length_and_device_alone():
    given = circuit(parts=(Part(D(10), Method.C), Part(D(30), Method.C)))
    changed = what_if(given, method=Method.M101, metres=D(20), device=device(16), grouped=2)

    assert [part.metres for part in changed.parts] == [5, 15]
    assert {(part.method, part.grouped) for part in changed.parts} == {(Method.M101, 2)}
    assert changed.device.rating_amps == 16


def test_what_if_refuses_a_length_when_the_route_has_none():
    with pytest.raises(ValueError, match="no length yet"):
        what_if(circuit(parts=()), metres=D(20))


def test_rcd_is_missed_for_sockets_lights_bathrooms_and_shallow_cable():
    bare = device(20, rcd=None)

    assert by_code(circuit(device=bare))["rcd"].outcome == Outcome.FAIL
    assert by_code(circuit(device=bare, is_shallow=False))["rcd"].outcome == Outcome.PASS
    assert by_code(circuit(device=bare, is_shallow=False, is_in_bathroom=True))["rcd"].outcome == Outcome.FAIL
    assert by_code(circuit(CircuitKind.LIGHTING, device=bare, is_shallow=False))["rcd"].outcome == Outcome.FAIL


@pytest.mark.parametrize(("kind", "outcome"), [(RcdType.A, Outcome.PASS), (RcdType.AC, Outcome.LOOK), (None, Outcome.UNKNOWN)])
def test_type_of_rcd_is_judged(kind, outcome):
    assert by_code(circuit(device=device(20, rcd_type=kind)))["rcd-type"].outcome == outcome


@pytest.mark.parametrize(
    ("changes", "code", "outcome"),
    [
        ({"spurs": 9}, "ring-spurs", Outcome.FAIL),
        ({"floor_area_m2": D(101)}, "ring-area", Outcome.LOOK),
        ({"floor_area_m2": None}, "ring-area", Outcome.UNKNOWN),
        ({"device": device(40)}, "ring-device", Outcome.FAIL),
        ({"cable": find_cable(D("1.5"))}, "ring-live", Outcome.FAIL),
        ({"parts": (Part(D(60), Method.M101),)}, "capacity", Outcome.FAIL),
        ({"parts": (Part(D(60), Method.A),)}, "capacity", Outcome.PASS),
    ],
)
def test_ring_rules_are_judged_one_by_one(changes, code, outcome):
    assert by_code(replace(ring(), **changes))[code].outcome == outcome


def test_longest_spur_is_added_to_the_far_end_of_the_ring():
    with_spur = replace(ring(), spurs=1, longest_spur_metres=D(5))
    added = by_code(with_spur)["zs"].result - by_code(ring())["zs"].result

    assert added == D("1.20") * 5 * D("19.51") / 1000
    assert longest_run(with_spur, SUPPLY).by_zs_metres < longest_run(ring(), SUPPLY).by_zs_metres


def test_socket_radial_is_judged_by_both_floor_areas():
    checks = by_code(circuit(has_sockets=True, floor_area_m2=D(40)))

    assert (checks["area-20"].outcome, checks["area-20-old"].outcome) == (Outcome.PASS, Outcome.LOOK)


@pytest.mark.parametrize(("kind", "amps", "seconds"), [("shower", 32, "0.4"), ("shower", 40, "5"), ("ring", 40, "0.4")])
def test_time_to_disconnect_goes_by_rating_and_sockets(kind, amps, seconds):
    assert f"within {seconds} s" in by_code(circuit(CircuitKind(kind), amps=amps))["disconnection"].name


def test_house_with_its_own_electrode_disconnects_by_rcd():
    tt = Supply(D(90), D(100), Earthing.TT)

    assert by_code(circuit(), tt)["disconnection"].outcome == Outcome.PASS
    assert by_code(circuit(device=device(20, rcd=None)), tt)["disconnection"].outcome == Outcome.FAIL


def test_run_may_have_no_length_when_the_supply_is_too_poor():
    assert longest_run(circuit(), Supply(D(5), D(100))).metres == 0


def test_worst_outcome_is_that_of_the_worst_check():
    assert worst_of(judge_circuit(circuit(metres=500), SUPPLY)) == Outcome.FAIL


@pytest.mark.parametrize(
    "wrong", [lambda: Part(D(-1), Method.C), lambda: Part(D(1), Method.C, grouped=0), lambda: Part(D(1), Method.C, ambient_c=61),
              lambda: Part(D(1), Method.C, grouped=21), lambda: Supply(D(-1), D(100)), lambda: device(0)]
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError):
        wrong()

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.core.cut_list import (
    Cut,
    CutList,
    Kind,
    Length,
    Request,
    Run,
    faults,
    least_new_drums,
    new_drum,
    split_at_points,
)


def run(reference: str, metres: str) -> Run:
    return Run(reference, Decimal(metres))


def length(label: str, metres: str, kind: Kind = Kind.STARTED) -> Length:
    return Length(label, Decimal(metres), kind)


R1, R2 = run("R1", "40"), run("R2", "30")
DRUM = length("D1", "60")
REQUEST = Request((R1, R2), (DRUM,))


def test_no_fault_when_every_run_fits_a_length_that_is_there():
    assert faults(REQUEST, CutList((Cut(DRUM, (R1,)), Cut(new_drum(REQUEST, 1), (R2,))))) == []


def test_fault_is_told_when_a_drum_is_cut_beyond_its_metres():
    assert faults(REQUEST, CutList((Cut(DRUM, (R1, R2)),))) == ["D1 holds 60 m, 70 m are cut from it."]


def test_fault_is_told_when_a_run_is_forgotten():
    assert faults(REQUEST, CutList((Cut(DRUM, (R1,)),))) == ["R2 is not cut."]


def test_fault_is_told_when_a_run_is_cut_twice():
    assert faults(Request((R2,), (DRUM,)), CutList((Cut(DRUM, (R2, R2)),))) == ["R2 is cut twice, or was not asked for."]


def test_fault_is_told_when_a_length_is_not_in_stores():
    assert faults(Request((R2,)), CutList((Cut(DRUM, (R2,)),))) == ["D1 is not there."]


def test_bound_counts_missing_metres():
    assert least_new_drums(Request((run("a", "90"), run("b", "80"), run("c", "40")), (length("D1", "95"),))) == 2


def test_bound_is_nought_when_stores_hold_enough():
    assert least_new_drums(REQUEST) == 1
    assert least_new_drums(Request((R1, R2), (length("D1", "70"),))) == 0


def test_bound_counts_runs_that_cannot_share_a_drum():
    # Three runs of more than half a drum: 165 m would seem to fit two drums of 100 m, but no two share one.
    assert least_new_drums(Request(tuple(run(name, "55") for name in "abc"))) == 3


def test_metres_of_the_rest_count_only_beyond_the_room_beside_long_runs():
    runs = (*(run(name, "60") for name in "abc"), *(run(name, "45") for name in "de"))
    assert least_new_drums(Request(runs)) == 4


def test_scrap_counts_only_leftovers_too_short_to_use():
    cuts = (Cut(length("D1", "42"), (R1,)), Cut(length("D2", "35"), (R2,)))
    assert (CutList(cuts).waste_metres, CutList(cuts).longest_left_metres) == (2, 5)


def test_run_stays_whole_when_a_drum_holds_it():
    assert split_at_points(R1, 8, Decimal(100)) == [R1]


def test_ring_longer_than_a_drum_is_pulled_in_parts_of_whole_legs():
    parts = split_at_points(Run("R2", Decimal("138.06"), "Sockets"), 9, Decimal(100))
    assert [(part.reference, str(part.metres)) for part in parts] == [("R2/1", "61.36"), ("R2/2", "76.70")]


def test_run_stays_whole_when_one_leg_is_longer_than_any_drum():
    garage = Run("GA", Decimal(120))
    assert split_at_points(garage, 1, Decimal(100)) == [garage]


@given(st.integers(1, 60000), st.integers(1, 40), st.integers(100, 10000))
def test_parts_add_up_and_each_fits_whatever_the_run(centimetres, legs, longest):
    run_, size = Run("R", Decimal(centimetres) / 100), Decimal(longest) / 100
    parts = split_at_points(run_, legs, size)
    assert sum(part.metres for part in parts) == run_.metres
    assert parts == [run_] or all(part.metres <= size + Decimal("0.01") for part in parts)

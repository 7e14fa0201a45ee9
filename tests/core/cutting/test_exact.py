from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from scipy import optimize

from jobs.core.cut_list import Kind, Length, Request, Run, faults
from jobs.core.cutting.exact import cut_exactly
from jobs.core.cutting.first_fit import cut_by_first_fit
from jobs.core.cutting.quick import cut_quickly
from tests.core.cutting.test_first_fit import requests, run


@settings(max_examples=15, deadline=None)
@given(requests)
def test_cut_list_can_be_cut_and_is_no_worse_than_the_quick_one(request):
    found = cut_exactly(request, seconds=1)
    assert faults(request, found) == []
    assert found.merit <= cut_quickly(request).merit


def test_one_drum_is_saved_when_first_fit_wastes_room():
    # First-fit decreasing cuts 50 + 45 and 30 + 30 + 25, then opens a drum for the last 20;
    # 50 + 30 + 20 and 45 + 30 + 25 fill two drums.
    request = Request(tuple(run(f"R{number}", each) for number, each in enumerate(["50", "45", "30", "30", "25", "20"])))
    assert (cut_by_first_fit(request).new_drums, cut_exactly(request).new_drums) == (3, 2)


def test_most_metres_come_from_offcuts_when_several_choices_save_drums():
    lengths = (Length("D1-a", Decimal(20), Kind.OFFCUT), Length("D2", Decimal(90)))
    request = Request((run("L1", "12"), run("L2", "10"), run("L3", "9.5")), lengths)
    cuts = {cut.length.label: cut.cut_metres for cut in cut_exactly(request).cuts}
    assert cuts["D1-a"] == Decimal("19.5")


def test_sealed_drum_stays_sealed_when_started_ones_suffice():
    lengths = (Length("D1", Decimal(100), Kind.SEALED), Length("D2", Decimal(40)), Length("D3", Decimal(40)))
    cut_list = cut_exactly(Request((run("R1", "30"), run("R2", "30")), lengths))
    assert {cut.length.label for cut in cut_list.cuts} == {"D2", "D3"}


def test_leftovers_stay_useful_when_scrap_can_be_avoided():
    lengths = (Length("D1", Decimal(50)), Length("D2", Decimal(41)))
    cut_list = cut_exactly(Request((run("R1", "40"),), lengths))
    assert [cut.length.label for cut in cut_list.cuts] == ["D1"]


def test_nothing_is_cut_when_nothing_is_asked():
    assert cut_exactly(Request(())).cuts == ()


def test_drum_of_no_use_is_left_alone_when_it_is_empty():
    found = cut_exactly(Request((run("R1", "10"),), (Length("D1", Decimal(0)),)))
    assert [cut.length.kind for cut in found.cuts] == [Kind.NEW]


@pytest.mark.parametrize("seed", range(6))
def test_new_drums_equal_scipys_integer_programme(seed):
    """Reference library: scipy.optimize.milp (HiGHS) on the textbook assignment model."""
    random = np.random.default_rng(seed)
    runs = [int(each) for each in random.integers(8, 70, 9)]
    lengths = [int(each) for each in random.integers(5, 60, 2)]
    request = Request(
        tuple(Run(f"R{number}", Decimal(each)) for number, each in enumerate(runs)),
        tuple(Length(f"D{number}", Decimal(each)) for number, each in enumerate(lengths)),
    )
    assert cut_exactly(request, seconds=5).new_drums == _drums_by_scipy(runs, lengths, 100)


def _drums_by_scipy(runs: list[int], lengths: list[int], size: int) -> int:
    rooms = [*lengths, *[size] * len(runs)]
    cells, is_new = len(runs) * len(rooms), [0] * len(lengths) + [1] * len(runs)
    placed = np.hstack([np.kron(np.eye(len(runs)), np.ones(len(rooms))), np.zeros((len(runs), len(rooms)))])
    filled = np.hstack([np.kron(np.array(runs), np.eye(len(rooms))), -np.diag(rooms)])
    solved = optimize.milp(
        np.array([0] * cells + is_new),
        constraints=[optimize.LinearConstraint(placed, 1, 1), optimize.LinearConstraint(filled, -np.inf, 0)],
        integrality=np.ones(cells + len(rooms)), bounds=optimize.Bounds(0, 1),
    )
    return round(solved.fun)


def test_cuts_are_the_same_when_cut_again():
    # Sixteen runs and four lengths leave many cut lists of the same merit.
    random = np.random.default_rng(3)
    runs = tuple(run(f"R{number}", f"{random.integers(300, 4500) / 100}") for number in range(16))
    lengths = tuple(Length(f"D{number}", Decimal(int(random.integers(400, 8000))) / 100) for number in range(4))
    request = Request(runs, lengths)
    assert cut_exactly(request, seconds=0.5) == cut_exactly(request, seconds=0.5)

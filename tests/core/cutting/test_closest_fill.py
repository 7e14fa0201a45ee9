from decimal import Decimal

from hypothesis import given

from jobs.core.cut_list import Length, Request, faults
from jobs.core.cutting.closest_fill import cut_by_closest_fill
from tests.core.cutting.test_first_fit import requests, run


@given(requests)
def test_cut_list_can_be_cut_whatever_is_asked(request):
    assert faults(request, cut_by_closest_fill(request)) == []


def test_drum_is_filled_to_the_end_when_runs_allow():
    request = Request(tuple(run(f"R{number}", each) for number, each in enumerate(["50", "45", "30", "30", "25", "20"])))
    assert [cut.left_metres for cut in cut_by_closest_fill(request).cuts] == [0, 0]


def test_long_run_goes_on_the_only_drum_that_holds_it():
    lengths = (Length("D1", Decimal(60)), Length("D2", Decimal(130)))
    request = Request((run("R1", "120"), run("R2", "60"), run("R3", "70")), lengths)
    assert [str(each.reference) for each in cut_by_closest_fill(request).cuts[1].runs] == ["R1"]

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.core.cut_list import Kind, Length, Request, Run, faults
from jobs.core.cutting.first_fit import cut_by_first_fit

metres = st.integers(50, 12000).map(lambda hundredths: Decimal(hundredths) / 100)
requests = st.builds(
    lambda runs, lengths: Request(
        tuple(Run(f"R{number}", each) for number, each in enumerate(runs)),
        tuple(Length(f"D{number}", each, kind) for number, (each, kind) in enumerate(lengths)),
    ),
    st.lists(metres, max_size=12),
    st.lists(st.tuples(metres, st.sampled_from([Kind.OFFCUT, Kind.STARTED, Kind.SEALED])), max_size=5),
)


def run(reference: str, metres: str) -> Run:
    return Run(reference, Decimal(metres))


@given(requests)
def test_cut_list_can_be_cut_whatever_is_asked(request):
    assert faults(request, cut_by_first_fit(request)) == []


@given(requests)
def test_bound_never_exceeds_what_was_taken(request):
    found = cut_by_first_fit(request)
    assert found.least_new_drums <= found.new_drums


def test_offcut_is_used_before_drums_when_it_fits():
    lengths = (Length("D1", Decimal(80)), Length("D2-a", Decimal(11), Kind.OFFCUT))
    assert cut_by_first_fit(Request((run("L1", "10"),), lengths)).cuts[0].length.label == "D2-a"


def test_run_longer_than_any_drum_is_left_uncut():
    found = cut_by_first_fit(Request((run("R1", "120"), run("R2", "20"))))
    assert [each.reference for each in found.uncut] == ["R1"]


def test_long_run_goes_on_the_only_drum_that_holds_it():
    found = cut_by_first_fit(Request((run("R1", "120"),), (Length("D1", Decimal(150)),)))
    assert [cut.length.label for cut in found.cuts] == ["D1"]


def test_new_drums_are_numbered_when_several_are_bought():
    found = cut_by_first_fit(Request((run("R1", "90"), run("R2", "80"))))
    assert [cut.length.label for cut in found.cuts] == ["New drum 1", "New drum 2"]


def test_bound_leaves_out_runs_that_may_have_to_stay_uncut():
    offcut = Length("D1-a", Decimal("100.01"), Kind.OFFCUT)
    found = cut_by_first_fit(Request((run("R1", "100.01"), run("R2", "100.01")), (offcut,)))
    assert (found.least_new_drums, found.new_drums, len(found.uncut)) == (0, 0, 1)

from decimal import Decimal

from jobs.core.cut_list import Cut, CutList, Kind, Length, Run
from jobs.core.cutting.changes import tell_changes

RING, LIGHTS = Run("R1", Decimal(45)), Run("L1", Decimal(30))
OLD, OTHER, NEW = Length("D1", Decimal(80)), Length("D2", Decimal(60)), Length("New drum 1", Decimal(100), Kind.NEW)


def test_nothing_is_told_when_the_cuts_stay():
    cuts = CutList((Cut(OLD, (RING, LIGHTS)),))
    assert tell_changes(cuts, cuts) == []


def test_a_run_that_moves_to_another_drum_is_told():
    after = CutList((Cut(OLD, (RING,)), Cut(OTHER, (LIGHTS,))))
    assert tell_changes(CutList((Cut(OLD, (RING, LIGHTS)),)), after) == ["L1: cut from D2, no longer from D1."]


def test_a_drum_to_buy_is_told():
    after = CutList((Cut(OLD, (RING,)), Cut(NEW, (LIGHTS,))))
    assert tell_changes(CutList((Cut(OLD, (RING, LIGHTS)),)), after)[-1] == "1 more new drum to buy."


def test_a_run_no_drum_holds_is_told():
    after = CutList((Cut(OLD, (LIGHTS,)),), uncut=(RING,))
    assert tell_changes(CutList((Cut(OLD, (RING, LIGHTS)),)), after) == ["R1: no drum holds it any more."]


def test_a_run_that_fits_again_is_told():
    before = CutList((Cut(OLD, (LIGHTS,)),), uncut=(RING,))
    assert tell_changes(before, CutList((Cut(OLD, (RING, LIGHTS)),))) == ["R1: can be cut now, from D1."]

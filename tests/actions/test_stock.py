from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import stock
from jobs.actions.locations import firm_place
from jobs.actions.permission import Refused
from jobs.actions.stock import Counted
from jobs.models import Location, StockMove
from tests.factories import NOW, make_crew_user
from tests.stores import make_store

pytestmark = pytest.mark.django_db


def move(store, pieces=3, **changes):
    arguments = {
        "item": store.box, "pieces": Decimal(pieces), "moved_from": store.unit, "moved_to": store.van, "op_id": uuid4(),
        "by": store.office, "at": NOW,
    }
    return stock.move(**arguments | changes)


def count(store, found, *, seen=None, drum=None, **changes):
    counted = Counted(store.cable if drum else store.box, Decimal(found), seen, drum)
    arguments = {"place": store.unit, "counted": [counted], "op_id": uuid4(), "by": store.office, "at": NOW}
    return stock.count(**arguments | changes)


def test_stock_rises_when_pieces_are_received(store):
    store.receive(10)
    assert store.held(store.unit) == 10


def test_pieces_change_place_when_moved(store):
    store.receive(10)
    move(store, 4)
    assert (store.held(store.unit), store.held(store.van)) == (6, 4)


def test_crew_may_book_what_they_did(store):
    store.receive(10)
    move(store, 4, by=make_crew_user(store.person))
    assert store.held(store.van) == 4


def test_nothing_happens_twice_when_an_operation_comes_again(store):
    op_id = uuid4()
    store.receive(10)
    assert move(store, 4, op_id=op_id) == move(store, 4, op_id=op_id)
    assert store.held(store.van) == 4


def test_changed_form_is_refused_when_it_was_saved_before(store):
    op_id = uuid4()
    store.receive(10)
    move(store, 4, op_id=op_id)
    with pytest.raises(Refused, match="saved once already"):
        move(store, 5, op_id=op_id)


def test_move_is_refused_when_less_is_there(store):
    store.receive(2)
    with pytest.raises(Refused, match="the books show 2 of Back box there, not 3"):
        move(store, 3)


def test_balance_falls_below_nought_when_somebody_says_it_is_there(store):
    move(store, 3, even_if_short=True)
    assert store.held(store.unit) == -3


@pytest.mark.parametrize(
    ("pieces", "words"),
    [
        ("0", "more than 0"),
        ("-2", "more than 0"),
        ("1.5", "whole pieces"),
        ("1000000", "cannot be right"),
        ("NaN", "more than 0"),
    ],
)
def test_quantity_is_refused_when_it_makes_no_sense(store, pieces, words):
    with pytest.raises(Refused, match=words):
        move(store, pieces)


def test_move_is_refused_when_it_goes_nowhere(store):
    with pytest.raises(Refused, match="already"):
        move(store, moved_to=store.unit)


def test_move_is_refused_when_the_place_is_not_for_stock(store):
    with pytest.raises(Refused, match="the unit, a van or a site"):
        move(store, moved_to=store.fitted)


def test_cable_is_refused_as_pieces(store):
    with pytest.raises(Refused, match="kept on drums"):
        move(store, item=store.cable)


@pytest.mark.parametrize("argument", ["item", "moved_from", "moved_to"])
def test_foreign_row_is_refused(store, argument):
    other = make_store("Another firm")
    foreign = {"item": other.box, "moved_from": other.unit, "moved_to": other.van}[argument]
    with pytest.raises(PermissionDenied):
        move(store, **{argument: foreign})


def test_difference_is_booked_when_more_is_found(store):
    store.receive(10)
    count(store, 12)
    counting = firm_place(store.firm, Location.Kind.COUNT)
    assert (store.held(store.unit), store.held(counting)) == (12, -2)


def test_difference_is_booked_when_less_is_found(store):
    store.receive(10)
    count(store, 7)
    assert store.held(store.unit) == 7


def test_nothing_is_booked_when_the_count_agrees(store):
    store.receive(10)
    assert count(store, 10) == []


def test_debt_is_settled_when_counted(store):
    move(store, 3, even_if_short=True)
    count(store, 0)
    assert store.held(store.unit) == 0


def test_count_is_refused_when_stock_moved_meanwhile(store):
    store.receive(10)
    move(store, 4)
    with pytest.raises(Refused, match="went from 10 to 6"):
        count(store, 9, seen=Decimal(10))


def test_count_comes_through_again_when_its_answer_was_lost(store):
    op_id = uuid4()
    store.receive(10)
    booked = count(store, 7, op_id=op_id, seen=Decimal(10))
    assert count(store, 7, op_id=op_id, seen=Decimal(10)) == booked


def test_shelf_is_counted_in_one_go(store):
    drum = store.receive_drum()
    store.receive(10)
    counted = [Counted(store.box, Decimal(8)), Counted(store.cable, Decimal("94.20"), drum=drum)]
    count(store, 0, counted=counted)
    assert (store.held(store.unit), store.held(store.unit, store.cable)) == (8, Decimal("94.20"))


def test_nothing_is_booked_when_one_line_of_a_count_is_refused(store):
    drum = store.receive_drum()
    store.receive(10)
    counted = [Counted(store.box, Decimal(8)), Counted(store.cable, Decimal(94), Decimal(60), drum)]
    with pytest.raises(Refused, match="D1 in Unit went from 60 to 100"):
        count(store, 0, counted=counted)
    assert store.held(store.unit) == 10


def test_pieces_are_fitted_when_used(store):
    store.receive(10)
    stock.use(
        item=store.box, pieces=Decimal(2), job=store.job, moved_from=store.unit, op_id=uuid4(), by=store.office, at=NOW
    )
    assert (store.held(store.unit), store.held(store.fitted)) == (8, 2)


def test_pieces_are_gone_when_wasted(store):
    store.receive(10)
    stock.waste(item=store.box, pieces=Decimal(2), moved_from=store.unit, op_id=uuid4(), by=store.office, at=NOW)
    assert (store.held(store.unit), store.held(firm_place(store.firm, Location.Kind.WASTE))) == (8, 2)


def bring_back(store, pieces):
    return stock.bring_back(
        item=store.box, pieces=Decimal(pieces), job=store.job, to=store.van, op_id=uuid4(), by=store.office, at=NOW
    )


def test_pieces_are_stock_again_when_brought_back(store):
    store.receive(10)
    stock.use(
        item=store.box, pieces=Decimal(5), job=store.job, moved_from=store.unit, op_id=uuid4(), by=store.office, at=NOW
    )
    bring_back(store, 2)
    assert (store.held(store.van), store.held(store.fitted)) == (2, 3)


def test_no_more_comes_back_than_was_fitted(store):
    with pytest.raises(Refused, match="as fitted there"):
        bring_back(store, 2)


def test_move_remembers_who_when_and_which_job(store):
    store.receive(10)
    (row,) = move(store, moved_to=store.site)
    assert (row.made_by, row.made_at, row.job, row.reason) == (store.office, NOW, store.job, StockMove.Reason.MOVE)

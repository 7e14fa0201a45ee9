from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions.orders import Arrived, Wanted, place_order, receive_order
from jobs.actions.permission import Refused
from jobs.actions.returns import return_drum, return_pieces
from jobs.queries.orders import load_order
from tests.factories import NOW, TODAY

pytestmark = pytest.mark.django_db


def send_back(store, pieces, op_id=None, **told):
    return return_pieces(
        item=store.box, pieces=Decimal(pieces), moved_from=store.unit, op_id=op_id or uuid4(), by=store.office, at=NOW, **told
    )


def test_pieces_that_go_back_leave_the_stock_once(store):
    store.receive(10)
    op_id = uuid4()
    assert send_back(store, 4, op_id) == send_back(store, 4, op_id)
    assert store.held(store.unit) == 6


def test_more_than_is_there_cannot_go_back(store):
    with pytest.raises(Refused, match="the books show 0"):
        send_back(store, 1)


def test_an_order_says_what_was_sent_back_of_it(store):
    order = place_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(10))], placed_on=TODAY, promised_on=TODAY, op_id=uuid4(),
        by=store.office,
    )
    line = order.lines.get()
    receive_order(
        order=order, arrived=[Arrived(line, Decimal(10))], to=store.unit, op_id=uuid4(), by=store.office, at=NOW
    )
    send_back(store, 3, order_line=line)
    (row,) = load_order(order).lines
    assert (row.came, row.returned, row.to_come) == (10, 3, 0)


def test_a_drum_goes_back_with_all_its_metres(store):
    drum = store.receive_drum("D4", 60)
    return_drum(drum=drum, op_id=uuid4(), by=store.office, at=NOW)
    assert store.held(store.unit, store.cable) == 0
    with pytest.raises(Refused, match="no metres left"):
        return_drum(drum=drum, op_id=uuid4(), by=store.office, at=NOW)

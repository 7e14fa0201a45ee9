from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import orders
from jobs.actions.drums import NewDrum
from jobs.actions.orders import Arrived, Wanted
from jobs.actions.permission import Refused
from jobs.models import Drum, Order
from tests.factories import NOW, TODAY, make_crew_user
from tests.stores import make_store

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


def place(store, *, boxes=20, cable=0, **changes):
    wanted = [(store.box, boxes), (store.cable, cable)]
    arguments = {
        "supplier": store.supplier, "placed_on": TODAY, "promised_on": TOMORROW, "op_id": uuid4(), "by": store.office,
        "lines": [Wanted(item, Decimal(quantity)) for item, quantity in wanted if quantity],
    }
    return orders.place_order(**arguments | changes)


def receive(store, order, pieces=0, drums=(), **changes):
    lines = {line.item: line for line in order.lines.all()}
    arrived = [Arrived(lines[store.box], Decimal(pieces))] if pieces else []
    if drums:
        arrived.append(Arrived(lines[store.cable], drums=tuple(NewDrum(label, Decimal(metres)) for label, metres in drums)))
    arguments = {"to": store.unit, "op_id": uuid4(), "by": store.office, "at": NOW}
    return orders.receive_order(order=order, arrived=arrived, **arguments | changes)


def test_order_gets_the_next_number_when_it_has_none(store):
    assert [place(store).reference, place(store).reference] == ["O1", "O2"]


def test_order_is_placed_once_when_the_form_comes_again(store):
    op_id = uuid4()
    assert place(store, op_id=op_id) == place(store, op_id=op_id)


def test_taken_reference_is_refused(store):
    place(store, reference="A77")
    with pytest.raises(Refused, match="order A77 already"):
        place(store, reference="A77")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"lines": []}, "at least one item"),
        ({"promised_on": TODAY - timedelta(days=1)}, "before it is ordered"),
        ({"boxes": "0.5"}, "whole pieces"),
    ],
)
def test_order_is_refused_when_it_makes_no_sense(store, changes, words):
    with pytest.raises(Refused, match=words):
        place(store, **changes)


def test_item_in_two_lines_is_refused(store):
    with pytest.raises(Refused, match="two lines"):
        place(store, lines=[Wanted(store.box, Decimal(1)), Wanted(store.box, Decimal(2))])


def test_crew_order_nothing(store):
    with pytest.raises(PermissionDenied):
        place(store, by=make_crew_user(store.person))


def test_stock_rises_and_the_order_closes_when_all_came(store):
    order = place(store, boxes=20)
    receive(store, order, 20)
    order.refresh_from_db()
    assert (store.held(store.unit), order.state) == (20, Order.State.ARRIVED)


def test_order_stays_open_when_part_came(store):
    order = place(store, boxes=20)
    receive(store, order, 5)
    order.refresh_from_db()
    assert (store.held(store.unit), order.state) == (5, Order.State.PLACED)


def test_order_closes_when_the_last_part_came(store):
    order = place(store, boxes=20)
    receive(store, order, 5)
    receive(store, order, 15)
    order.refresh_from_db()
    assert order.state == Order.State.ARRIVED


def test_drums_come_with_labels(store):
    order = place(store, boxes=0, cable=200)
    receive(store, order, drums=[("D1", 100), ("D2", 100)])
    order.refresh_from_db()
    assert (Drum.objects.count(), order.state) == (2, Order.State.ARRIVED)


def test_nothing_is_doubled_when_a_delivery_is_scanned_twice(store):
    order = place(store, boxes=20)
    receive(store, order, 20)
    with pytest.raises(Refused, match="20 of 20 came before"):
        receive(store, order, 20)
    assert store.held(store.unit) == 20


def test_same_operation_is_answered_alike_when_it_comes_again(store):
    order, op_id = place(store, boxes=20), uuid4()
    assert receive(store, order, 20, op_id=op_id) == receive(store, order, 20, op_id=op_id)


def test_changed_delivery_is_refused_when_it_was_saved_before(store):
    order, op_id = place(store, boxes=20), uuid4()
    receive(store, order, 5, op_id=op_id)
    with pytest.raises(Refused, match="other figures"):
        receive(store, order, 6, op_id=op_id)


def test_more_than_ordered_comes_in_when_somebody_says_so(store):
    order = place(store, boxes=20)
    receive(store, order, 25, even_if_over=True)
    assert store.held(store.unit) == 25


def test_cable_without_drums_is_refused(store):
    order = place(store, boxes=0, cable=100)
    with pytest.raises(Refused, match="Enter each drum"):
        orders.receive_order(
            order=order, arrived=[Arrived(order.lines.get(), Decimal(100))], to=store.unit, op_id=uuid4(), by=store.office,
            at=NOW,
        )


def test_empty_delivery_is_refused(store):
    with pytest.raises(Refused, match="Enter what came"):
        receive(store, place(store))


def test_line_of_another_order_is_refused(store):
    first, second = place(store), place(store)
    with pytest.raises(Refused, match="another order"):
        orders.receive_order(
            order=first, arrived=[Arrived(second.lines.get(), Decimal(1))], to=store.unit, op_id=uuid4(), by=store.office,
            at=NOW,
        )


def test_nothing_is_received_on_a_cancelled_order(store):
    order = orders.cancel_order(order=place(store), by=store.office)
    with pytest.raises(Refused, match="was cancelled"):
        receive(store, order, 5)


def test_order_is_late_when_the_supplier_names_another_day(store):
    order = orders.expect_order(order=place(store), expected_on=date(2027, 1, 20), today=TODAY, by=store.office)
    assert (order.promised_on, order.expected_on, order.is_late) == (TOMORROW, date(2027, 1, 20), True)


def test_day_gone_by_is_refused_as_expected(store):
    with pytest.raises(Refused, match="is over"):
        orders.expect_order(order=place(store), expected_on=TODAY - timedelta(days=1), today=TODAY, by=store.office)


def test_arrived_order_is_not_changed(store):
    order = place(store, boxes=20)
    receive(store, order, 20)
    with pytest.raises(Refused, match="has arrived"):
        orders.expect_order(order=order, expected_on=TOMORROW, today=TODAY, by=store.office)


def test_foreign_order_is_refused(store):
    other = make_store("Another firm")
    with pytest.raises(PermissionDenied):
        receive(other, place(other), 5, by=store.office)

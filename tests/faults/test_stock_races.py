"""Two people at the same stock at the same moment: nothing is lost, nothing is doubled."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from threading import Barrier, Thread
from uuid import uuid4

import pytest
from django.db import connections

from jobs.actions import drums, orders, stock
from jobs.actions.drums import NewDrum
from jobs.actions.order_mail import send_order
from jobs.actions.orders import Arrived, Wanted
from jobs.actions.permission import Refused
from jobs.actions.stock import Counted
from jobs.actions.stores_import import import_stock, keep_list
from jobs.actions.van_ticks import put_on_van, take_off_van
from jobs.core.stores_file.lists import read_stock
from jobs.models import Drum, OutboxEntry, StockMove, Supplier, VanTick
from jobs.queries.balances import load_balances
from jobs.queries.stores_lists import load_known
from tests.factories import NOW, TODAY
from tests.stores import Store, make_store

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def store() -> Store:
    return make_store()


def at_once(*calls: Callable[[], object]) -> list[str]:
    """How each call ended, run side by side: "done", or "refused"; anything else is an error."""
    ends, start = [], Barrier(len(calls))

    def run(call: Callable[[], object]) -> None:
        start.wait()
        try:
            call()
            ends.append("done")
        except Refused:
            ends.append("refused")
        except Exception as error:
            ends.append(repr(error))
        finally:
            connections.close_all()

    threads = [Thread(target=run, args=(call,)) for call in calls]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(ends)


def take(store: Store, pieces: int, op_id: object = None) -> Callable[[], object]:
    return lambda: stock.move(
        item=store.box, pieces=Decimal(pieces), moved_from=store.unit, moved_to=store.van, op_id=op_id or uuid4(),
        by=store.office, at=NOW,
    )


def test_one_gets_it_when_two_take_the_last_box(store):
    store.receive(1)
    assert at_once(take(store, 1), take(store, 1)) == ["done", "refused"]
    assert (store.held(store.unit), store.held(store.van)) == (0, 1)


def test_every_piece_is_taken_once_when_many_take_at_once(store):
    store.receive(5)
    assert at_once(*[take(store, 1) for _ in range(8)]) == ["done"] * 5 + ["refused"] * 3
    assert store.held(store.van) == 5


def test_operation_is_booked_once_when_it_comes_twice_at_once(store):
    store.receive(10)
    call = take(store, 4, op_id=uuid4())
    assert at_once(call, call) == ["done", "done"]
    assert store.held(store.van) == 4


def test_delivery_is_booked_once_when_two_people_scan_it(store):
    order = orders.place_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(20))], placed_on=TODAY,
        promised_on=TODAY + timedelta(days=1), op_id=uuid4(), by=store.office,
    )
    line = order.lines.get()

    def receive() -> None:
        orders.receive_order(
            order=order, arrived=[Arrived(line, Decimal(20))], to=store.unit, op_id=uuid4(), by=store.office, at=NOW
        )

    assert at_once(receive, receive) == ["done", "refused"]
    assert store.held(store.unit) == 20


def test_one_drum_is_made_when_two_write_the_same_label(store):
    other = store.cable

    def receive() -> None:
        new = [NewDrum("D1", Decimal(100))]
        drums.receive_drums(item=other, drums=new, to=store.unit, op_id=uuid4(), by=store.office, at=NOW)

    assert at_once(receive, receive) == ["done", "refused"]
    assert Drum.objects.count() == 1


def test_last_metres_are_cut_once_when_two_cut_a_drum(store):
    drum = store.receive_drum(metres=30)

    def cut() -> None:
        drums.use_drum(drum=drum, metres=Decimal(20), job=store.job, op_id=uuid4(), by=store.office, at=NOW)

    assert at_once(cut, cut) == ["done", "refused"]
    assert drums.whereabouts(drum) == (store.unit, 10)


def test_balance_is_right_when_somebody_counts_during_moves(store):
    """Whichever comes first: a count before the move leaves 9 - 3, one after it finds 9."""
    store.receive(10)

    def count() -> None:
        counted = [Counted(store.box, Decimal(9))]
        stock.count(place=store.unit, counted=counted, op_id=uuid4(), by=store.office, at=NOW)

    assert at_once(count, take(store, 3)) == ["done", "done"]
    assert store.held(store.unit) in {6, 9}
    assert load_balances(store.firm).total(store.box.pk, [store.unit.pk, store.van.pk]) in {9, 12}


def test_no_move_is_lost_when_two_carry_opposite_ways(store):
    store.receive(50)
    store.receive(50, to=store.van)

    def carry(moved_from: object, moved_to: object) -> Callable[[], object]:
        return lambda: stock.move(
            item=store.box, pieces=Decimal(2), moved_from=moved_from, moved_to=moved_to, op_id=uuid4(), by=store.office,
            at=NOW,
        )

    calls = [carry(store.unit, store.van)] * 4 + [carry(store.van, store.unit)] * 4
    assert at_once(*calls) == ["done"] * 8
    assert (store.held(store.unit), StockMove.objects.count()) == (50, 10)


def test_a_van_line_is_put_on_once_when_two_tick_it(store):
    store.receive(30)
    op_id = uuid4()

    def tick() -> None:
        put_on_van(
            person=store.person, on=TODAY, item=store.box, place=store.unit, quantity=Decimal(12), op_id=op_id,
            by=store.office, at=NOW,
        )

    assert at_once(tick, tick) == ["done", "done"]
    assert (store.held(store.van), VanTick.objects.count()) == (12, 1)


def test_a_van_line_comes_off_once_when_two_take_it_off(store):
    store.receive(30)
    tick = put_on_van(
        person=store.person, on=TODAY, item=store.box, place=store.unit, quantity=Decimal(12), op_id=uuid4(),
        by=store.office, at=NOW,
    )
    assert at_once(*[lambda: take_off_van(tick=tick, by=store.office, at=NOW)] * 2) == ["done", "done"]
    assert (store.held(store.unit), store.held(store.van)) == (30, 0)


def test_an_order_goes_out_once_when_two_send_it(store):
    Supplier.objects.update(email="counter@wholesaler.example")
    order = orders.write_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(10))], today=TODAY, promised_on=TODAY, op_id=uuid4(),
        by=store.office,
    )
    assert at_once(*[lambda: send_order(order=order, by=store.office, now=NOW)] * 2) == ["done", "refused"]
    assert OutboxEntry.objects.filter(task="send_order_mail").count() == 1


def test_a_stock_list_is_booked_once_when_two_save_it(store):
    reading = read_stock(b"item,quantity\nBack box,12\n", load_known(store.firm))
    upload = keep_list(kind="stock", file_name="a.csv", reading=reading, by=store.office, now=NOW)

    def save() -> None:
        import_stock(upload=upload, rows=reading.rows, by=store.office, now=NOW)

    assert at_once(save, save) == ["done", "refused"]
    assert store.held(store.unit) == 12

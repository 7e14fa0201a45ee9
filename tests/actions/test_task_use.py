from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions import stock
from jobs.models import Item, RoomTask, StockMove
from tests.factories import NOW, make_area, make_package, make_room
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def task(store):
    """First fix of four sockets, each with a back box and three metres of cable."""
    area = make_area(store.job)
    task = RoomTask.objects.create(
        firm=store.firm, package=make_package(area), room=make_room(area), code="point:socket", text="Sockets",
        point_count=4, labour_hours=4,
    )
    for item, quantity in ((store.box, 4), (store.cable, 12)):
        task.materials.create(firm=store.firm, item=item, quantity=quantity)
    return task


def tick(store, task, share="1", op_id=None, person="own"):
    return stock.use_for_task(
        task=task, op_id=op_id or uuid4(), share=Decimal(share), person=store.person if person == "own" else None,
        by=store.office, at=NOW,
    )


def test_van_gives_before_site_and_unit(store, task):
    store.receive(10)
    store.receive(1, to=store.site)
    store.receive(2, to=store.van)
    tick(store, task)
    assert [store.held(place) for place in (store.van, store.site, store.unit, store.fitted)] == [0, 0, 9, 4]


def test_site_gives_first_when_nobody_of_the_crew_is_named(store, task):
    store.receive(10, to=store.van)
    store.receive(10, to=store.site)
    tick(store, task, person=None)
    assert (store.held(store.van), store.held(store.site)) == (10, 6)


def test_van_owes_what_nobody_has(store, task):
    store.receive(1)
    tick(store, task)
    assert (store.held(store.unit), store.held(store.van)) == (0, -3)


def test_cable_comes_off_a_drum(store, task):
    store.receive_drum("D1", 50, to=store.van)
    tick(store, task)
    assert StockMove.objects.get(drum__label="D1", reason="use").cable_metres == 12


def test_cable_is_owed_without_a_drum_when_none_is_there(store, task):
    tick(store, task)
    assert store.held(store.van, store.cable) == -12


def test_half_the_materials_go_when_half_is_done(store, task):
    store.receive(10)
    tick(store, task, share="0.5")
    assert store.held(store.fitted) == 2


def test_nothing_is_used_twice_when_an_operation_comes_again(store, task):
    op_id = uuid4()
    store.receive(10)
    assert tick(store, task, op_id=op_id) == tick(store, task, op_id=op_id)
    assert store.held(store.fitted) == 4


def test_everything_goes_back_where_it_came_from_when_undone(store, task):
    op_id = uuid4()
    store.receive(1, to=store.van)
    store.receive(10)
    drum = store.receive_drum("D1", 50, to=store.van)
    tick(store, task, op_id=op_id)
    stock.undo_use(op_id=op_id, by=store.office, at=NOW)
    assert (store.held(store.van), store.held(store.unit), store.held(store.van, store.cable)) == (1, 10, 50)
    assert drum.moves.count() == 3


def test_undoing_twice_gives_back_once(store, task):
    op_id = uuid4()
    store.receive(10)
    tick(store, task, op_id=op_id)
    for _ in range(2):
        stock.undo_use(op_id=op_id, by=store.office, at=NOW)
    assert store.held(store.unit) == 10


def test_undo_names_what_it_corrects(store, task):
    op_id = uuid4()
    used = tick(store, task, op_id=op_id)
    undone = stock.undo_use(op_id=op_id, by=store.office, at=NOW)
    assert [move.corrects for move in undone] == used


def test_other_operations_stay_when_one_is_undone(store, task):
    first, second = uuid4(), uuid4()
    store.receive(10)
    tick(store, task, share="0.5", op_id=first)
    tick(store, task, share="0.5", op_id=second)
    stock.undo_use(op_id=first, by=store.office, at=NOW)
    assert store.held(store.fitted) == 2


def test_nothing_is_undone_when_the_operation_used_nothing(store):
    assert stock.undo_use(op_id=uuid4(), by=store.office, at=NOW) == []


def test_check_takes_no_materials(store, task):
    check = RoomTask.objects.create(firm=store.firm, package=task.package, room=task.room, code="check:a", text="Level")
    assert tick(store, check) == []


def test_other_firms_items_are_never_taken(store, task):
    other = make_store("Another firm")
    other.receive(10)
    tick(store, task)
    assert other.held(other.unit) == 10
    assert not StockMove.objects.filter(firm=store.firm, item__in=Item.objects.filter(firm=other.firm)).exists()

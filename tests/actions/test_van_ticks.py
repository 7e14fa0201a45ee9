from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.van_ticks import put_on_van, take_off_van
from jobs.models import StockMove, VanTick
from tests.factories import NOW, TODAY, make_crew_user, make_person
from tests.stores import make_store

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def store():
    store = make_store()
    store.receive(50)
    return store


def put_on(store, pieces=12, op_id=None, by=None, **told):
    about = {"person": store.person, "item": store.box, "place": store.unit, "quantity": Decimal(pieces)} | told
    return put_on_van(on=TOMORROW, op_id=op_id or uuid4(), by=by or store.office, at=NOW, **about)


def test_a_tick_moves_the_stock_to_the_van(store):
    put_on(store)
    assert (store.held(store.unit), store.held(store.van)) == (38, 12)


def test_the_same_tick_twice_moves_it_once(store):
    op_id = uuid4()
    assert put_on(store, op_id=op_id) == put_on(store, op_id=op_id)
    assert store.held(store.van) == 12


def test_taking_it_off_moves_it_back_once(store):
    tick = put_on(store)
    assert take_off_van(tick=tick, by=store.office, at=NOW) == take_off_van(tick=tick, by=store.office, at=NOW)
    assert (store.held(store.unit), store.held(store.van)) == (50, 0)


def test_what_was_used_from_the_van_cannot_go_back(store):
    tick = put_on(store)
    StockMove.objects.create(
        firm=store.firm, item=store.box, pieces=5, moved_from=store.van, moved_to=store.fitted, reason="use", made_at=NOW
    )
    with pytest.raises(Refused, match="the books show 7"):
        take_off_van(tick=tick, by=store.office, at=NOW)
    assert VanTick.objects.count() == 1


def test_more_than_lies_there_is_refused_and_nothing_is_kept(store):
    with pytest.raises(Refused):
        put_on(store, 51)
    assert not VanTick.objects.exists()


def test_a_drum_goes_with_all_its_metres_and_comes_back(store):
    drum = store.receive_drum("D4", 60)
    tick = put_on(store, 40, item=store.cable, drum=drum)
    assert (tick.quantity, store.held(store.van, store.cable)) == (60, 60)
    take_off_van(tick=tick, by=store.office, at=NOW)
    assert store.held(store.unit, store.cable) == 60


def test_a_drum_that_has_gone_elsewhere_is_refused(store):
    drum = store.receive_drum("D4", 60, to=store.site)
    with pytest.raises(Refused, match="is in Mill Lane by now"):
        put_on(store, 40, item=store.cable, drum=drum)


def test_crew_load_their_own_van_only(store):
    put_on(store, by=make_crew_user(store.person))
    with pytest.raises(PermissionDenied):
        put_on(store, by=make_crew_user(make_person(store.firm, "Bo Finch")))

from decimal import Decimal
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.core.stock import Move, Spot, fold
from jobs.models import Drum, StockMove
from jobs.queries.balances import list_own_places, load_balances
from tests.factories import NOW, make_job
from tests.stores import make_store

pytestmark = pytest.mark.django_db

histories = st.lists(
    st.tuples(
        st.booleans(),
        st.integers(1, 99999).map(lambda hundredths: Decimal(hundredths) / 100),
        st.lists(st.sampled_from(["unit", "van", "site", "fitted"]), min_size=2, max_size=2, unique=True),
    ),
    max_size=12,
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(histories)
def test_database_adds_up_what_the_fold_adds_up_after_any_history(store, history):
    StockMove.objects.filter(firm=store.firm).delete()
    drum, _ = Drum.objects.get_or_create(
        firm=store.firm, item=store.cable, label="D1", defaults={"full_metres": 100, "made_at": NOW}
    )
    moves = []
    for is_drum, quantity, (start, end) in history:
        ends = getattr(store, start), getattr(store, end)
        item = store.cable if is_drum else store.box
        StockMove.objects.create(
            firm=store.firm, op_id=uuid4(), item=item, drum=drum if is_drum else None, pieces=None if is_drum else quantity,
            cable_metres=quantity if is_drum else None, moved_from=ends[0], moved_to=ends[1], reason="move", made_at=NOW,
        )
        moves.append(Move(item.pk, quantity, ends[0].pk, ends[1].pk, drum.pk if is_drum else None))
    assert load_balances(store.firm).quantities == fold(moves).quantities


def test_hundredths_stay_exact_when_many_are_added(store):
    for _ in range(3):
        store.receive_drum(f"D{uuid4().hex[:6]}", "0.10")
    assert load_balances(store.firm).total(store.cable.pk, [store.unit.pk]) == Decimal("0.30")


def test_only_the_items_asked_for_are_added_up(store):
    store.receive(3)
    store.receive_drum()
    assert set(load_balances(store.firm, [store.box.pk]).quantities) == {
        Spot(store.box.pk, store.unit.pk),
        Spot(store.box.pk, load_supplier(store)),
    }


def load_supplier(store):
    return StockMove.objects.filter(item=store.box).first().moved_from_id


def test_other_firms_stock_is_left_out(store):
    make_store("Another firm").receive(3)
    assert load_balances(store.firm).quantities == {}


def test_two_queries_do_whatever_the_history(store, django_assert_num_queries):
    for _ in range(5):
        store.receive(3)
    with django_assert_num_queries(2):
        load_balances(store.firm)


def test_unit_comes_before_vans_and_sites(store):
    make_job(store.firm)
    assert list_own_places(store.firm) == [store.unit, store.van, store.site]

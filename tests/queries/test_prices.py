from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions import stock
from jobs.actions.prices import add_price
from jobs.models import MaterialNeed
from jobs.queries.prices import load_job_cost
from tests.factories import NOW, TODAY, make_area, make_package
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store():
    store = make_store()
    MaterialNeed.objects.create(
        firm=store.firm, package=make_package(make_area(store.job)), item=store.box, quantity=Decimal(12)
    )
    store.receive(50)
    return store


def price(store, pence, from_on, item=None):
    add_price(
        item=item or store.box, pence=pence, per_quantity=Decimal(10), from_on=from_on, by=store.office, at=NOW,
        supplier=store.supplier,
    )


def use(store, pieces, at=NOW):
    stock.use(
        item=store.box, pieces=Decimal(pieces), job=store.job, moved_from=store.unit, op_id=uuid4(), by=store.office, at=at
    )


def test_the_take_off_is_priced_at_todays_prices(store):
    price(store, 890, TODAY)
    price(store, 5000, TODAY + timedelta(days=1))
    assert load_job_cost(store.job, NOW).planned_pence == 1068


def test_what_was_used_keeps_the_price_of_its_day(store):
    """By hand: 4 at 89 p and 2 at 95 p are 3.56 and 1.90."""
    price(store, 890, date(2027, 1, 4))
    price(store, 950, TODAY)
    use(store, 4, NOW - timedelta(days=3))
    use(store, 2)
    cost = load_job_cost(store.job, NOW)
    assert (cost.used_pence, cost.rows[0].used) == (356 + 190, 6)


def test_what_came_back_is_credited(store):
    price(store, 1000, date(2027, 1, 4))
    use(store, 4)
    stock.bring_back(
        item=store.box, pieces=Decimal(1), job=store.job, to=store.unit, op_id=uuid4(), by=store.office, at=NOW
    )
    assert load_job_cost(store.job, NOW).used_pence == 300


def test_items_without_a_price_are_named_not_counted_as_free(store):
    cost = load_job_cost(store.job, NOW)
    assert (cost.planned_pence, [str(item) for item in cost.unpriced]) == (0, ["Back box"])
    assert cost.rows[0].planned_pence is None


def test_queries_stay_the_same_however_much_was_used(store, django_assert_num_queries):
    price(store, 890, date(2027, 1, 4))
    for _ in range(5):
        use(store, 1)
    with django_assert_num_queries(6):
        load_job_cost(store.job, NOW)

from datetime import timedelta

import pytest

from jobs.models import Booking, Job, MaterialNeed, Plan
from jobs.queries.stock import load_stores
from jobs.queries.van_loads import load_van_lists, next_working_day
from tests.factories import NOW, TODAY, make_area, make_package, make_plan
from tests.stores import make_store

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def store():
    store = make_store()
    Job.objects.filter(pk=store.job.pk).update(state=Job.State.ON_SITE)
    return store


@pytest.fixture
def plan(store):
    plan = make_plan(store.firm, Plan.State.ISSUED)
    for name in ("Ground floor", "First floor"):
        package = make_package(make_area(store.job, name))
        MaterialNeed.objects.create(firm=store.firm, package=package, item=store.box, quantity=5)
        MaterialNeed.objects.create(firm=store.firm, package=package, item=store.cable, quantity=20)
        Booking.objects.create(
            firm=store.firm, plan=plan, person=store.person, package=package, on=TOMORROW, half="am", hours=2
        )
    return plan


def van_list(store, plan, on=TOMORROW):
    (found,) = load_van_lists(load_stores(store.firm, plan, NOW), plan, on)
    return found


def test_things_for_two_areas_are_put_on_together(store, plan):
    store.receive(50)
    (row,) = van_list(store, plan).to_fetch
    assert (row.item, row.place, row.quantity, len(row.packages)) == (store.box, store.unit, 10, 2)


def test_drums_at_the_place_are_named(store, plan):
    store.receive_drum("D4", 60)
    (row,) = van_list(store, plan).to_fetch
    assert (row.quantity, [drum.drum.label for drum in row.drums]) == (40, ["D4"])


def test_what_lies_on_the_van_is_not_fetched(store, plan):
    store.receive(50)
    store.receive(8, to=store.van)
    assert van_list(store, plan).to_fetch[0].quantity == 2


def test_what_lies_nowhere_is_told(store, plan):
    store.receive(7)
    missing = [(item, quantity) for item, _, quantity in van_list(store, plan).missing if item == store.box]
    assert missing == [(store.box, 3)]


def test_nobody_is_listed_on_a_day_without_bookings(store, plan):
    assert load_van_lists(load_stores(store.firm, plan, NOW), plan, TODAY) == []


def test_nobody_is_listed_without_a_plan(store):
    assert load_van_lists(load_stores(store.firm, None, NOW), None, TOMORROW) == []


def test_next_working_day_leaves_out_the_weekend(store):
    friday = NOW + timedelta(days=3)
    assert next_working_day(load_stores(store.firm, None, friday)) == TODAY + timedelta(days=6)


def test_queries_do_not_grow_with_bookings(store, plan, django_assert_max_num_queries):
    with django_assert_max_num_queries(18):
        van_list(store, plan)


def test_who_goes_alongside_loads_nothing(store, plan):
    plan.bookings.update(is_alongside=True)
    assert load_van_lists(load_stores(store.firm, plan, NOW), plan, TOMORROW) == []

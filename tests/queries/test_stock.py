from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions import orders, stock
from jobs.actions.orders import Wanted
from jobs.models import Job, MaterialNeed, Plan, Span
from jobs.queries.needs import load_needs
from jobs.queries.stock import list_shortages, load_arrivals, load_stores
from tests.factories import NOW, TODAY, make_area, make_item, make_job, make_package, make_plan
from tests.stores import make_store

pytestmark = pytest.mark.django_db
WED, THU, FRI = (TODAY + timedelta(days=number) for number in (1, 2, 3))


@pytest.fixture
def store():
    store = make_store()
    Job.objects.filter(pk=store.job.pk).update(state=Job.State.ON_SITE)
    return store


@pytest.fixture
def plan(store):
    return make_plan(store.firm, Plan.State.ISSUED)


def need(store, plan, pieces, on=None, *, name="Ground floor", stage="first_fix", job=None, item=None):
    """A package that takes pieces, and its start in the plan."""
    package = make_package(make_area(job or store.job, name), stage)
    MaterialNeed.objects.create(firm=store.firm, package=package, item=item or store.box, quantity=pieces)
    if on:
        Span.objects.create(
            firm=store.firm, plan=plan, package=package, starts_on=on, starts_half="am", ends_on=on, ends_half="pm"
        )
    return package


def place(store, boxes, on):
    return orders.place_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(boxes))], placed_on=TODAY, promised_on=on, op_id=uuid4(),
        by=store.office,
    )


def only_shortage(store, plan):
    (row,) = list_shortages(store.firm, plan, NOW)
    return row


def test_shortage_names_package_day_and_quantity(store, plan):
    store.receive(3)
    package = need(store, plan, 8, THU)
    row = only_shortage(store, plan)
    assert (row.package, row.item, row.quantity, row.needed_on, row.half) == (package, store.box, 5, THU, "am")


def test_latest_moment_to_order_follows_the_supplier_and_the_firms_cut_off(store, plan):
    need(store, plan, 8, THU)
    assert only_shortage(store, plan).latest_order_at == datetime(2027, 1, 13, 19, 0, tzinfo=UTC)


def test_suppliers_own_cut_off_and_lead_come_first(store, plan):
    store.supplier.order_cut_off, store.supplier.lead_working_days = "16:30", 2
    store.supplier.save()
    need(store, plan, 8, FRI)
    assert only_shortage(store, plan).latest_order_at == datetime(2027, 1, 13, 16, 30, tzinfo=UTC)


def test_nothing_is_short_when_an_order_comes_in_time(store, plan):
    need(store, plan, 8, THU)
    place(store, 8, WED)
    assert list_shortages(store.firm, plan, NOW) == []


def test_only_what_is_still_to_come_counts_of_an_order(store, plan):
    need(store, plan, 8, THU)
    order = place(store, 8, WED)
    orders.receive_order(
        order=order, arrived=[orders.Arrived(order.lines.get(), Decimal(5))], to=store.unit, op_id=uuid4(),
        by=store.office, at=NOW,
    )
    assert list_shortages(store.firm, plan, NOW) == []


def test_cancelled_order_counts_for_nothing(store, plan):
    need(store, plan, 8, THU)
    orders.cancel_order(order=place(store, 8, WED), by=store.office)
    assert only_shortage(store, plan).quantity == 8


def test_what_was_used_is_no_longer_needed(store, plan):
    store.receive(8)
    need(store, plan, 8, THU)
    stock.use(
        item=store.box, pieces=Decimal(6), job=store.job, moved_from=store.unit, op_id=uuid4(), by=store.office, at=NOW
    )
    (requirement,) = load_needs(store.firm, plan).requirements
    assert requirement.quantity == 2


def test_finished_package_needs_nothing(store, plan):
    package = need(store, plan, 8, THU)
    package.finished_at = NOW
    package.save()
    assert load_needs(store.firm, plan).requirements == ()


def test_jobs_that_are_not_booked_need_nothing_yet(store, plan):
    need(store, plan, 8, job=make_job(store.firm, state=Job.State.SURVEYED))
    assert list_shortages(store.firm, plan, NOW) == []


def test_needs_of_a_surveyed_job_are_known_when_asked_for(store, plan):
    job = make_job(store.firm, state=Job.State.SURVEYED)
    need(store, plan, 8, job=job)
    assert [each.quantity for each in load_needs(store.firm, plan, job).of_job(job)] == [8]


def test_shortage_has_no_day_when_there_is_no_plan(store):
    need(store, None, 8)
    assert only_shortage(store, None).needed_on is None


def test_fitted_and_lost_stock_is_no_stock(store, plan):
    store.receive(8)
    stock.waste(item=store.box, pieces=Decimal(8), moved_from=store.unit, op_id=uuid4(), by=store.office, at=NOW)
    need(store, plan, 8, THU)
    assert only_shortage(store, plan).quantity == 8


def test_other_pack_covers_the_need(store, plan):
    bag = make_item(store.firm, "back-box-bag", stands_in_for=store.box)
    store.receive(8, item=bag)
    need(store, plan, 8, THU)
    assert list_shortages(store.firm, plan, NOW) == []


def test_package_can_start_when_its_order_comes(store, plan):
    package = need(store, plan, 8, WED)
    place(store, 8, FRI)
    assert load_arrivals(store.firm, TODAY) == {package.pk: FRI}


def test_latest_of_several_deliveries_counts(store, plan):
    package = need(store, plan, 8, WED)
    MaterialNeed.objects.create(firm=store.firm, package=package, item=store.cable, quantity=30)
    place(store, 8, THU)
    orders.place_order(
        supplier=store.supplier, lines=[Wanted(store.cable, Decimal(100))], placed_on=TODAY, promised_on=date(2027, 1, 20),
        op_id=uuid4(), by=store.office,
    )
    assert load_arrivals(store.firm, TODAY) == {package.pk: date(2027, 1, 20)}


def test_nothing_waits_when_there_is_time_to_order(store, plan):
    need(store, plan, 8, FRI)
    assert load_arrivals(store.firm, TODAY) == {}


def test_package_waits_when_its_supplier_takes_long(store, plan):
    store.supplier.lead_working_days = 5
    store.supplier.save()
    package = need(store, plan, 8, FRI)
    assert load_arrivals(store.firm, TODAY) == {package.pk: date(2027, 1, 19)}


def test_other_firms_stock_and_orders_are_left_out(store, plan):
    other = make_store("Another firm")
    other.receive(50)
    place(other, 50, WED)
    need(store, plan, 8, THU)
    assert only_shortage(store, plan).quantity == 8


def test_queries_stay_the_same_however_many_jobs_there_are(store, plan, django_assert_num_queries):
    for number in range(4):
        need(store, plan, 8, THU, job=make_job(store.firm, state=Job.State.BOOKED), name=f"Floor {number}")
        place(store, 2, WED)
    with django_assert_num_queries(12):
        load_stores(store.firm, plan, NOW).shortages  # noqa: B018


def test_shortages_of_the_first_days_are_those_of_the_whole_plan_when_only_they_are_netted(store, plan):
    store.receive(9)
    for on, pieces in ((WED, 4), (THU, 8), (FRI, 5)):
        need(store, plan, pieces, on, name=f"Floor of {on}")
    need(store, plan, 3, name="Loft")
    place(store, 2, FRI)
    whole = [row.shortage for row in list_shortages(store.firm, plan, NOW) if row.needed_on and row.needed_on <= THU]
    assert [row.shortage for row in list_shortages(store.firm, plan, NOW, until=THU)] == whole
    assert [shortage.quantity for shortage in whole] == [3]

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions.late_orders import expect_and_plan, plan_when_free
from jobs.actions.orders import Wanted, place_order
from jobs.actions.permission import Refused
from jobs.actions.planning import plan_again
from jobs.models import OutboxEntry, PlanRun
from tests.factories import NOW, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(store):
    return place_order(
        supplier=store.supplier, lines=[Wanted(store.box, Decimal(10))], placed_on=TODAY,
        promised_on=TODAY + timedelta(days=1), op_id=uuid4(), by=store.office,
    )


def expect(store, order, days):
    return expect_and_plan(order=order, expected_on=TODAY + timedelta(days=days), today=TODAY, by=store.office, now=NOW)


def test_the_plan_is_made_anew_when_an_order_comes_later(store, order):
    run = expect(store, order, 8)
    assert (run.firm, run.asked_by) == (store.firm, store.office)
    assert OutboxEntry.objects.filter(task="run_planner", payload={"run_pk": run.pk}).exists()


def test_nothing_is_planned_when_the_day_stays(store, order):
    assert expect(store, order, 1) is None
    assert not PlanRun.objects.exists()


def test_the_day_is_kept_when_somebody_is_planning_already(store, order):
    plan_again(firm=store.firm, by=store.office, seconds=5, now=NOW)
    assert expect(store, order, 8) is None
    order.refresh_from_db()
    assert order.expected_on == TODAY + timedelta(days=8)


def test_another_plan_follows_when_somebody_is_planning_already(store, order):
    running = plan_again(firm=store.firm, by=store.office, seconds=5, now=NOW)
    expect(store, order, 8)
    expect(store, order, 9)
    entry = OutboxEntry.objects.get(task="plan_when_free")
    OutboxEntry.objects.filter(pk=entry.pk).update(state=OutboxEntry.State.DONE, done_at=NOW)
    assert plan_when_free(**entry.payload, now=NOW + timedelta(seconds=3)) is None
    assert OutboxEntry.objects.filter(task="plan_when_free", state=OutboxEntry.State.WAITING).count() == 1
    PlanRun.objects.filter(pk=running.pk).update(state=PlanRun.State.DONE)
    assert plan_when_free(**entry.payload, now=NOW + timedelta(seconds=6)).asked_by == store.office


def test_a_day_gone_by_is_refused(store, order):
    with pytest.raises(Refused):
        expect(store, order, -1)

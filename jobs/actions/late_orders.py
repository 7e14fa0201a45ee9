"""A supplier says that an order comes on another day: the order is put right, and the plan made anew."""

from datetime import date, datetime, timedelta

from django.db import transaction

from jobs import outbox
from jobs.actions.orders import expect_order
from jobs.actions.permission import Refused
from jobs.actions.planning import plan_again
from jobs.models import Firm, Order, PlanRun, User
from jobs.queries.plans import PLAN_WHEN_FREE, find_waiting_turn

SECONDS = 5
"""How long the planner thinks about a delivery."""
LOOK_AGAIN_AFTER = timedelta(seconds=3)


@transaction.atomic
def expect_and_plan(*, order: Order, expected_on: date, today: date, by: User, now: datetime) -> PlanRun | None:
    """The run that makes the new draft; None when the day stays, or when somebody is planning already: that plan may
    not know of it, so another one is made as soon as it ends."""
    was = Order.objects.get(pk=order.pk).expected_on
    if expect_order(order=order, expected_on=expected_on, today=today, by=by).expected_on == was:
        return None
    return _plan(order.firm, by, now)


@transaction.atomic
def plan_when_free(*, firm_pk: int, user_pk: int, now: datetime) -> PlanRun | None:
    """Plan, or ask again for a little later while somebody else is planning."""
    return _plan(Firm.objects.get(pk=firm_pk), User.objects.get(pk=user_pk), now)


def _plan(firm: Firm, by: User, now: datetime) -> PlanRun | None:
    try:
        return plan_again(firm=firm, by=by, seconds=SECONDS, now=now)
    except Refused:
        due_at = now + LOOK_AGAIN_AFTER
        if not find_waiting_turn(firm):
            outbox.enqueue(
                key=f"{PLAN_WHEN_FREE}:{firm.pk}:{due_at.isoformat()}", task=PLAN_WHEN_FREE,
                payload={"firm_pk": firm.pk, "user_pk": by.pk}, due_at=due_at, firm=firm,
            )
        return None

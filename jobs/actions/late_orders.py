"""A supplier says that an order comes on another day: the order is put right, and the plan made anew."""

from datetime import date, datetime

from django.db import transaction

from jobs.actions.orders import expect_order
from jobs.actions.permission import Refused
from jobs.actions.planning import plan_again
from jobs.models import Order, PlanRun, User

SECONDS = 5
"""How long the planner thinks about a delivery."""


@transaction.atomic
def expect_and_plan(*, order: Order, expected_on: date, today: date, by: User, now: datetime) -> PlanRun | None:
    """The run that makes the new draft; None while somebody is planning already (that plan may not know of it)."""
    was = Order.objects.get(pk=order.pk).expected_on
    if expect_order(order=order, expected_on=expected_on, today=today, by=by).expected_on == was:
        return None
    try:
        return plan_again(firm=order.firm, by=by, seconds=SECONDS, now=now)
    except Refused:
        return None

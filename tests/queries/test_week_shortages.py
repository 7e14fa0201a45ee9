"""What a week's work will not find in the stores."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from jobs.models import Job, MaterialNeed
from jobs.queries.week_shortages import list_week_shortages
from tests.factories import NOW, make_area, make_firm, make_item, make_job, make_package, make_plan
from tests.planning import span

pytestmark = pytest.mark.django_db
MONDAY = date(2027, 1, 11)


@pytest.fixture
def plan():
    """A first fix on Thursday that needs boxes nobody has."""
    firm = make_firm()
    package = make_package(make_area(make_job(firm, state=Job.State.BOOKED)))
    MaterialNeed.objects.create(firm=firm, package=package, item=make_item(firm, "box"), quantity=12)
    plan = make_plan(firm)
    span(plan, package, date(2027, 1, 14))
    return plan


def shortages(plan, monday: date):
    return list_week_shortages(plan.firm, plan, monday, NOW)


def test_shortage_is_told_in_the_week_it_bites(plan):
    (shortage,) = shortages(plan, MONDAY)
    assert (shortage.row.quantity, shortage.is_missed) == (12, False)


def test_shortage_is_missed_when_the_last_moment_to_order_is_past(plan):
    plan.spans.update(starts_on=date(2027, 1, 12), ends_on=date(2027, 1, 12))
    assert shortages(plan, MONDAY)[0].is_missed


@pytest.mark.parametrize("weeks", [-1, 1])
def test_other_weeks_do_not_tell_it(plan, weeks):
    assert shortages(plan, MONDAY + timedelta(weeks=weeks)) == []


def test_without_a_plan_nothing_is_short(plan):
    assert list_week_shortages(plan.firm, None, MONDAY, NOW) == []


def test_shortage_tells_the_later_delivery_when_todays_cut_off_is_past(plan):
    before, after = (datetime.combine(NOW.date(), time(hour), UTC) for hour in (9, 23))
    (early,), (late,) = (list_week_shortages(plan.firm, plan, MONDAY, now) for now in (before, after))
    assert late.row.shortage.soonest_on > early.row.shortage.soonest_on

"""Which plan is which."""

from datetime import date, timedelta

import pytest

from jobs.models import Pin, Plan, PlanRun
from jobs.queries.plans import find_held, find_running, list_last_move, list_pins
from tests.factories import NOW, TODAY, make_area, make_firm, make_job, make_package, make_person, make_plan

pytestmark = pytest.mark.django_db
MONDAY = date(2027, 1, 11)


def test_week_gone_by_is_held_by_the_last_plan_issued_by_then(firm):
    make_plan(firm, Plan.State.REPLACED, issued_at=NOW - timedelta(days=20))
    held = make_plan(firm, Plan.State.REPLACED, issued_at=NOW - timedelta(days=10))
    make_plan(firm, Plan.State.ISSUED, issued_at=NOW)
    assert find_held(firm, date(2026, 12, 28), TODAY) == held


def test_this_week_is_held_by_the_issued_plan(firm):
    make_plan(firm, Plan.State.REPLACED, issued_at=NOW - timedelta(days=1))
    issued = make_plan(firm, Plan.State.ISSUED, issued_at=NOW)
    assert find_held(firm, MONDAY, TODAY) == issued


def make_run(firm, **fields) -> PlanRun:
    return PlanRun.objects.create(firm=firm, asked_at=NOW, **fields)


def test_waiting_run_is_under_way(firm):
    run = make_run(firm)
    assert find_running(firm, NOW + timedelta(hours=1)) == run


def test_silent_run_is_not_under_way(firm):
    make_run(firm, state=PlanRun.State.RUNNING, started_at=NOW, seconds=5)
    assert find_running(firm, NOW + timedelta(minutes=1)) is not None
    assert find_running(firm, NOW + timedelta(minutes=3)) is None


def test_other_firms_run_is_not_ours(firm):
    make_run(make_firm("Other"))
    assert find_running(firm, NOW) is None


@pytest.fixture
def pin(firm):
    package, person = make_package(make_area(make_job(firm))), make_person(firm)

    def make(on: date, **fields) -> Pin:
        fields = {"made_at": NOW, "half": "am"} | fields
        return Pin.objects.create(firm=firm, package=package, person=person, on=on, **fields)

    return make


def test_pins_that_are_past_are_not_listed(firm, pin):
    pin(TODAY - timedelta(days=1))
    ahead = pin(TODAY)
    assert list_pins(firm, TODAY) == [ahead]


def test_last_move_is_every_pin_of_one_moment(firm, pin):
    was = {"was_on": TODAY, "was_half": "am"}
    pin(TODAY, made_at=NOW - timedelta(hours=1), **was)
    both = [pin(TODAY, half=half, **was) for half in ("am", "pm")]
    pin(TODAY)
    assert list_last_move(firm) == both

"""Each disruption changes what its name says, and the plan that answers it keeps every rule."""

import pytest

from jobs.core.planning import quick_plan
from jobs.core.planning.portfolios import portfolio
from jobs.management.bench.disruptions import DISRUPTIONS, told, without_job

PROBLEM = portfolio(1, 2, 3)
PLAN = quick_plan(PROBLEM)
ISSUED = told(PROBLEM, PLAN)


@pytest.mark.parametrize("name", DISRUPTIONS)
def test_a_plan_that_keeps_every_rule_follows_when_something_happens(name: str) -> None:
    upset = DISRUPTIONS[name](ISSUED, PLAN)
    assert upset != ISSUED
    assert quick_plan(upset).broken == ()


def test_every_visit_is_told_where_it_is_planned_when_a_plan_is_issued() -> None:
    assert {one.activity: one.session for one in ISSUED.told} == {v.key: PLAN.spans[v.key].first for v in PROBLEM.visits}


def test_nothing_of_a_job_is_left_when_it_has_not_come_in() -> None:
    before = without_job(PROBLEM, "job:1")
    assert {activity.job for activity in before.activities().values()} == {"job:0"}
    assert quick_plan(before).broken == ()

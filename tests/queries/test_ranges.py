from datetime import date, timedelta

import pytest

from jobs.core.date_range import DateRange
from jobs.queries.ranges import end_range, finish_range, start_range
from tests.factories import TODAY, make_plan
from tests.planning import make_working_firm, span

pytestmark = pytest.mark.django_db
LATER = TODAY + timedelta(days=3)


@pytest.fixture
def job():
    return make_working_firm()


def measured(job, **fields):
    return span(make_plan(job.firm), job.packages.first(), TODAY, **fields)


def test_nothing_is_told_when_a_plan_was_not_measured(job):
    row = measured(job)
    assert (start_range(row), end_range(row), start_range(None)) == (None, None, None)


def test_the_start_comes_with_its_chance_when_a_visit_was_measured(job):
    row = span(make_plan(job.firm), job.visits.get(), TODAY, likely_on=TODAY, safe_on=LATER, holds_percent=61)
    assert start_range(row) == DateRange(TODAY, TODAY, LATER, 61)


def test_the_start_has_no_chance_when_it_is_our_own_work(job):
    row = measured(job, likely_on=TODAY, safe_on=LATER, holds_percent=61)
    assert start_range(row) == DateRange(TODAY, TODAY, LATER)


def test_the_end_comes_without_a_chance_when_measured(job):
    row = measured(job, likely_end_on=TODAY, safe_end_on=LATER)
    assert end_range(row) == DateRange(TODAY, TODAY, LATER)


def test_the_finish_comes_from_the_plans_facts_when_a_job_is_asked_for(job):
    facts = {"likely_on": "2027-01-12", "safe_on": "2027-01-15", "holds_percent": 70}
    plan = make_plan(job.firm, facts={"finishes": {f"job:{job.pk}": facts}})
    assert finish_range(plan, job.pk, TODAY) == DateRange(TODAY, TODAY, date(2027, 1, 15), 70, "the promise")


def test_no_finish_is_told_when_the_plan_does_not_know_the_job(job):
    assert finish_range(make_plan(job.firm), job.pk, TODAY) is None

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.models import Span
from jobs.queries.job_dates import JobSpans, package_slot, visit_slots
from jobs.queries.progress import Progress
from tests.factories import TODAY, make_area, make_firm, make_job, make_package, make_plan, make_visit

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("Europe/London")
MORNING, AFTERNOON = Half.MORNING, Half.AFTERNOON
PLANNED = Slot(date(2027, 1, 18), MORNING, date(2027, 1, 20), MORNING)


@pytest.fixture
def job():
    return make_job(make_firm())


def make_span(slot: Slot = PLANNED) -> Span:
    return Span(
        starts_on=slot.starts_on, starts_half=slot.starts_half, ends_on=slot.ends_on, ends_half=slot.ends_half
    )


def ticked(first: date, last: date, lines_done: int) -> Progress:
    moments = (datetime(day.year, day.month, day.day, 12, tzinfo=UTC) for day in (first, last))
    return Progress(lines=2, lines_done=lines_done, first_at=next(moments), last_at=next(moments))


def test_a_package_is_where_the_plan_puts_it_before_work_begins():
    assert package_slot(make_span(), Progress(), ZONE) == PLANNED


def test_a_package_starts_with_its_first_tick_and_ends_where_the_plan_says():
    slot = package_slot(make_span(), ticked(date(2027, 1, 12), date(2027, 1, 13), 1), ZONE)
    assert slot == Slot(date(2027, 1, 12), MORNING, PLANNED.ends_on, PLANNED.ends_half)


@pytest.mark.parametrize("span", [make_span(), None])
def test_a_finished_package_was_where_it_was_ticked(span):
    slot = package_slot(span, ticked(date(2027, 1, 12), date(2027, 1, 13), 2), ZONE)
    assert slot == Slot(date(2027, 1, 12), MORNING, date(2027, 1, 13), AFTERNOON)


def test_a_package_has_no_days_when_nobody_planned_or_ticked_it():
    assert package_slot(None, Progress(), ZONE) is None


def test_a_visit_is_where_the_plan_puts_it_even_when_it_has_a_day_of_its_own(job):
    visit = make_visit(job, starts_on=TODAY)
    span = make_span()
    span.firm, span.plan, span.visit = job.firm, make_plan(job.firm), visit
    span.save()
    assert visit_slots(job, [visit], JobSpans(job, span.plan), TODAY) == {visit.pk: PLANNED}


@pytest.mark.parametrize(
    ("starts_on", "half", "days", "ends_on", "ends_half"),
    [
        (date(2027, 1, 12), "am", "0.5", date(2027, 1, 12), MORNING),
        (date(2027, 1, 12), "pm", "1.0", date(2027, 1, 13), MORNING),
        (date(2027, 1, 15), "am", "2.0", date(2027, 1, 18), AFTERNOON),
        (date(2027, 3, 25), "am", "2.0", date(2027, 3, 30), AFTERNOON),
    ],
    ids=["half a day", "from midday", "over a weekend", "over Easter 2027: 26 and 29 March rest"],
)
def test_a_visit_takes_working_days_from_its_own_start_when_no_plan_has_it(job, starts_on, half, days, ends_on, ends_half):
    visit = make_visit(job, starts_on=starts_on, starts_half=half, length_days=days)
    visit.refresh_from_db()
    slot = visit_slots(job, [visit], JobSpans(job, None), TODAY)[visit.pk]
    assert (slot.ends_on, slot.ends_half) == (ends_on, ends_half)


def test_only_the_job_s_own_spans_are_read(job):
    plan, other = make_plan(job.firm), make_package(make_area(make_job(job.firm)))
    span = make_span()
    span.firm, span.plan, span.package = job.firm, plan, other
    span.save()
    assert (JobSpans(job, plan).packages, JobSpans(job, None).packages) == ({}, {})

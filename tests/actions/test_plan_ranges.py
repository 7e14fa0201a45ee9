"""How firm a plan's dates are, kept with its rows."""

import pytest

from jobs.actions import planning
from jobs.actions.hand_moves import move_booking
from jobs.models import Booking, Dependency, Plan, Span, Visit
from tests.factories import NOW, TODAY, make_office
from tests.planning import make_working_firm

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    """First fix, then the plasterer, then second fix."""
    job = make_working_firm()
    first, second = job.packages.all()
    visit = job.visits.get()
    Dependency.objects.create(firm=job.firm, job=job, before_package=first, after_visit=visit)
    Dependency.objects.create(firm=job.firm, job=job, before_visit=visit, after_package=second)
    return job


@pytest.fixture
def office(job):
    return make_office(job.firm)


@pytest.fixture
def draft(office):
    return planning.refresh_draft(firm=office.firm, by=office, now=NOW)


def test_every_span_has_its_range_when_a_draft_is_saved(draft):
    for span in draft.spans.all():
        assert span.likely_on <= span.safe_on <= span.safe_end_on
        assert 1 <= span.holds_percent <= 100


def test_a_new_date_for_a_trade_holds_four_times_in_five_when_a_draft_is_made(draft):
    span = draft.spans.get(visit__isnull=False)
    assert span.holds_percent >= 80
    assert span.safe_on == span.starts_on


def test_a_told_date_stays_when_it_is_no_longer_safe(office, draft):
    first_fix = draft.spans.get(package__stage="first_fix")
    assert first_fix.ends_half == "am"
    Visit.objects.update(state=Visit.State.ASKED, starts_on=first_fix.ends_on, starts_half="pm")
    span = planning.refresh_draft(firm=office.firm, by=office, now=NOW).spans.get(visit__isnull=False)
    assert (span.starts_on, span.starts_half) == (first_fix.ends_on, "pm")
    assert span.holds_percent < 80


def test_the_finish_of_each_job_is_told_when_a_draft_is_saved(job, draft):
    finish = draft.facts["finishes"][f"job:{job.pk}"]
    assert finish["likely_on"] <= finish["safe_on"]
    assert finish["holds_percent"] is None


def test_the_chance_of_a_promise_is_told_when_a_job_has_one(job, office):
    job.promised_finish_on = TODAY.replace(month=3)
    job.save()
    draft = planning.refresh_draft(firm=office.firm, by=office, now=NOW)
    assert draft.facts["finishes"][f"job:{job.pk}"]["holds_percent"] >= 90


def test_ranges_follow_when_a_booking_is_moved_by_hand(office, draft):
    booking = draft.bookings.filter(package__stage="second_fix").order_by("on", "half").last()
    before = Span.objects.get(plan=draft, package=booking.package).safe_end_on
    later = booking.on.replace(month=booking.on.month + 1, day=3)
    move_booking(booking=booking, on=later, half="am", person=booking.person, version=draft.version, by=office, now=NOW)
    assert Span.objects.get(plan=draft, package=booking.package).safe_end_on > before


def test_a_finished_plan_has_ranges_too_when_the_planner_had_time(office):
    run = planning.plan_again(firm=office.firm, by=office, seconds=1, now=NOW)
    planning.run_planner(run_pk=run.pk, now=NOW)
    plan = Plan.objects.get()
    assert not plan.spans.filter(safe_on__isnull=True).exists()
    assert plan.spans.get(visit__isnull=False).holds_percent >= 80
    assert Booking.objects.filter(plan=plan).exists()

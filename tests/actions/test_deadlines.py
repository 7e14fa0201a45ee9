from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.deadlines import mark_deadline, renew_all
from jobs.actions.permission import Refused
from jobs.models import CalendarEntry, DeadlineMark, Span
from jobs.queries.deadlines import list_week_deadlines, load_job_deadlines
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_visit,
    make_visit_kind,
)

pytestmark = pytest.mark.django_db
STARTS_ON, ENDS_ON = date(2027, 1, 18), date(2027, 1, 29)


@pytest.fixture
def office():
    return make_office(make_firm())


@pytest.fixture
def job(office):
    job = make_job(office.firm, "Mill Row", state="booked")
    plan_it(job, make_package(make_area(job)))
    return job


def plan_it(job, package=None, visit=None, starts_on=STARTS_ON, ends_on=ENDS_ON) -> None:
    plan = job.firm_plan if hasattr(job, "firm_plan") else make_plan(job.firm, "issued")
    job.firm_plan = plan
    Span.objects.create(
        firm=job.firm, plan=plan, package=package, visit=visit, starts_on=starts_on, starts_half="am", ends_on=ends_on,
        ends_half="pm",
    )


def due(job) -> dict:
    return {row.deadline.kind.value: row.deadline.due_on for row in load_job_deadlines(job, NOW)}


def entries() -> dict:
    zone_days = CalendarEntry.objects.exclude(deadline="").filter(is_gone=False)
    return {row.deadline: row.starts_at.date() for row in zone_days}


def test_certificate_follows_the_planned_end_when_the_work_is_not_over(job):
    assert due(job) == {"certificate": ENDS_ON + timedelta(days=30)}


def test_certificate_follows_the_day_of_handing_over_when_it_is_known(job):
    job.state, job.finished_on = "handed_over", TODAY
    assert due(job) == {"certificate": TODAY + timedelta(days=30)}
    assert load_job_deadlines(job, NOW)[0].is_firm


def test_notice_hangs_on_the_first_planned_day_when_that_route_is_taken(job):
    job.notice_route = "notice"
    assert due(job)["building_notice"] == date(2027, 1, 13)


def test_operator_is_asked_in_time_when_its_visit_is_planned(job):
    kind = make_visit_kind(job.firm, "isolator", trade="network_operator", lead_days=35, length_days="0.5")
    visit = make_visit(job, kind=kind)
    plan_it(job, visit=visit, starts_on=date(2027, 3, 1), ends_on=date(2027, 3, 1))
    assert due(job)["operator_request"] == date(2027, 1, 25)
    visit.state, visit.starts_on = "accepted", date(2027, 3, 1)
    visit.save()
    assert "operator_request" not in due(job)


def test_nothing_is_due_when_the_job_is_only_surveyed(office):
    assert load_job_deadlines(make_job(office.firm, has_licensed_asbestos=True, earliest_start_on=STARTS_ON), NOW) == []


def test_who_ticked_it_off_stays_when_it_is_opened_again(job, office):
    mark_deadline(job=job, kind="certificate", is_done=True, by=office, now=NOW)
    assert load_job_deadlines(job, NOW)[0].is_done
    mark_deadline(job=job, kind="certificate", is_done=False, by=office, now=NOW)
    assert [mark.is_done for mark in DeadlineMark.objects.all()] == [True, False]
    assert not load_job_deadlines(job, NOW)[0].is_done


@pytest.mark.parametrize(("kind", "is_done"), [("building_notice", True), ("certificate", False)])
def test_tick_is_refused_when_there_is_nothing_to_tick(job, office, kind, is_done):
    with pytest.raises(Refused):
        mark_deadline(job=job, kind=kind, is_done=is_done, by=office, now=NOW)


def test_crew_may_not_tick_off_when_they_try(job):
    with pytest.raises(PermissionDenied):
        mark_deadline(job=job, kind="certificate", is_done=True, by=make_crew_user(make_person(job.firm)), now=NOW)


def test_calendar_has_the_last_day_until_it_is_ticked_off(job, office):
    renew_all(now=NOW)
    assert entries() == {"certificate": ENDS_ON + timedelta(days=30)}
    mark_deadline(job=job, kind="certificate", is_done=True, by=office, now=NOW)
    assert entries() == {}


def test_entry_keeps_its_identity_and_rises_when_the_day_moves(job):
    renew_all(now=NOW)
    before = CalendarEntry.objects.get()
    job.state, job.finished_on = "handed_over", TODAY
    job.save()
    renew_all(now=NOW)
    after = CalendarEntry.objects.get()
    assert (after.uid, after.sequence) == (before.uid, before.sequence + 1)


def test_week_shows_what_is_overdue_or_near_when_it_is_not_gone_by(job):
    job.state, job.finished_on = "handed_over", TODAY - timedelta(days=40)
    job.save()
    monday = TODAY - timedelta(days=TODAY.weekday())
    assert [row.is_overdue for row in list_week_deadlines(job.firm, monday, NOW)] == [True]
    assert list_week_deadlines(job.firm, monday - timedelta(days=7), NOW) == []

"""Issuing a draft."""

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import issuing
from jobs.actions.issuing import issue_plan
from jobs.actions.permission import Refused
from jobs.models import CalendarEntry, Notice, Person, Plan
from tests.factories import NOW, TODAY, make_crew_user, make_firm, make_office, make_plan
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft():
    job = make_working_firm()
    plan = make_plan(job.firm)
    package = job.packages.first()
    book(plan, Person.objects.get(name="Edda Marsh"), package, TODAY, "pm")
    span(plan, package, TODAY)
    return plan


@pytest.fixture
def office(draft):
    return make_office(draft.firm)


def issue(draft, office, version: int = 1) -> Plan:
    return issue_plan(plan=draft, version=version, by=office, now=NOW)


def test_draft_becomes_the_issued_plan(draft, office):
    issued = issue(draft, office)
    assert (issued.state, issued.issued_at, issued.issued_by) == (Plan.State.ISSUED, NOW, office)


def test_plan_issued_before_is_replaced(draft, office):
    before = make_plan(draft.firm, Plan.State.ISSUED)
    issue(draft, office)
    before.refresh_from_db()
    assert before.state == Plan.State.REPLACED


def test_notices_and_calendar_entries_are_written_with_it(draft, office):
    issue(draft, office)
    assert Notice.objects.filter(plan=draft).exists()
    assert CalendarEntry.objects.exists()


def test_second_issue_tells_nobody_again(draft, office):
    issue(draft, office)
    told = Notice.objects.count()
    with pytest.raises(Refused, match="issued already"):
        issue(draft, office)
    assert Notice.objects.count() == told


def test_draft_changed_since_the_review_is_not_issued(draft, office):
    Plan.objects.update(version=2)
    with pytest.raises(Refused, match="Someone changed the draft"):
        issue(draft, office)


def test_empty_draft_is_not_issued(draft, office):
    draft.spans.all().delete()
    with pytest.raises(Refused, match="nothing in this plan"):
        issue(draft, office)


def test_nothing_is_half_written_when_the_notices_fail(draft, office, monkeypatch):
    before = make_plan(draft.firm, Plan.State.ISSUED)

    def fail(**kwargs):
        raise OSError("disk full")

    monkeypatch.setattr(issuing, "write_notices", fail)
    with pytest.raises(OSError, match="disk full"):
        issue(draft, office)
    assert set(Plan.objects.values_list("pk", "state")) == {(draft.pk, "draft"), (before.pk, "issued")}


def test_crew_and_other_firms_may_not_issue(draft):
    crew = make_crew_user(Person.objects.get(name="Edda Marsh"))
    for by in (crew, make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            issue(draft, by)

"""The review page and issuing."""

from datetime import date

import pytest
from django.urls import reverse

from jobs.models import Person, Plan
from tests.factories import NOW, make_firm, make_office, make_plan
from tests.planning import book, make_working_firm, span, tell

pytestmark = pytest.mark.django_db
WEDNESDAY = date(2027, 1, 13)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def job():
    return make_working_firm()


@pytest.fixture
def client(client, job):
    client.force_login(make_office(job.firm))
    return client


@pytest.fixture
def draft(job):
    plan = make_plan(job.firm)
    package = job.packages.first()
    book(plan, Person.objects.get(name="Edda Marsh"), package, WEDNESDAY)
    span(plan, package, WEDNESDAY, cause={"words": "Edda Marsh is sick until Tue 12 Jan pm"})
    because = {"words": "First fix, Upstairs ends Wed 13 Jan", "kind": "predecessor", "because_of": f"package:{package.pk}"}
    span(plan, job.visits.get(), date(2027, 1, 21), cause=because)
    return plan


def page(client) -> str:
    return client.get(reverse("plan_review")).content.decode()


def test_page_says_so_when_there_is_no_draft(client):
    assert "There is no plan yet" in page(client)


def test_moved_told_date_comes_first_with_its_cause_followed_back(client, draft, job):
    tell(job.visits.get(), date(2027, 1, 18))
    moved, rest = page(client).split("Promised finishes")
    assert "moved. Before: Mon 18 January, all day. Now: Thu 21 January, all day" in moved
    assert "Edda Marsh is sick until Tue 12 Jan pm" in moved
    assert "Who is told what" in rest


def test_first_date_is_not_called_moved(client, draft):
    before, after = page(client).split("Told for the first time")
    assert "Every date that somebody was told stands" in before
    assert "Petra Lund" in after


def test_late_finish_is_counted_in_days(client, draft, job):
    job.promised_finish_on = date(2027, 1, 19)
    job.save()
    assert "late by 2 days" in page(client)


def test_own_work_that_moves_is_listed_with_where_it_was(client, draft, job):
    issued = make_plan(job.firm, Plan.State.ISSUED)
    span(issued, job.packages.first(), date(2027, 1, 14))
    assert "was Thu 14 January, all day" in page(client)


def test_broken_rules_and_conflicts_are_told(client, draft):
    wish = {"key": "pin:1", "kind": "pin", "words": "Edda is put there", "if_relaxed": "Then Friday holds."}
    draft.facts = {
        "broken": [{"rule": "r", "words": "Edda is on two sites.", "keys": []}],
        "conflicts": [{"words": "These two clash.", "is_smallest": True, "wishes": [wish]}],
    }
    draft.save()
    html = page(client)
    assert "Edda is on two sites." in html
    assert "Then Friday holds." in html


def test_people_without_an_address_are_named(client, draft):
    assert "Copy the message into a phone message yourself for Edda Marsh" in page(client)


def issue(client, draft, version: int = 1):
    return client.post(reverse("issue_plan", args=[draft.pk]), {"version": version}, follow=True)


def test_issuing_from_the_page_issues_once(client, draft):
    assert "is issued" in issue(client, draft).content.decode()
    assert "issued already" in issue(client, draft).content.decode()


def test_stale_review_is_not_issued(client, draft):
    assert "Someone changed the draft" in issue(client, draft, version=7).content.decode()
    draft.refresh_from_db()
    assert draft.state == Plan.State.DRAFT


def test_issuing_without_a_version_is_refused(client, draft):
    client.post(reverse("issue_plan", args=[draft.pk]))
    draft.refresh_from_db()
    assert draft.state == Plan.State.DRAFT


def test_plan_of_another_firm_is_not_found(client):
    assert client.post(reverse("issue_plan", args=[make_plan(make_firm("Other")).pk])).status_code == 404

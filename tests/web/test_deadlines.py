from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.actions.deadlines import renew_all
from jobs.actions.links import make_link
from jobs.models import DeadlineMark
from tests.factories import make_area, make_firm, make_job, make_office, make_package, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    firm = make_firm()
    make_person(firm)
    job = make_job(firm, "Mill Row", state="handed_over", finished_on=timezone.localdate() - timedelta(days=31))
    make_package(make_area(job))
    return job


@pytest.fixture
def page(client, job):
    client.force_login(make_office(job.firm))
    return client


def test_job_page_shows_figure_source_and_caution_when_something_is_due(page, job):
    body = page.get(reverse("job", args=[job.pk])).content.decode()
    assert "Building Regulations 2010, regulation 20" in body
    assert "Check your local rules" in body
    assert "overdue" in body


def test_week_page_shows_it_when_it_is_overdue(page, job):
    body = page.get(reverse("week")).content.decode()
    assert "Certificate to the occupier" in body


def test_deadline_is_ticked_off_when_the_office_says_so(page, job):
    answer = page.post(reverse("mark_deadline", args=[job.pk, "certificate"]), follow=True)
    assert DeadlineMark.objects.get().is_done
    assert "Open again" in answer.content.decode()


@pytest.mark.parametrize(("purpose", "count"), [("job_feed", 1), ("customer_feed", 0)])
def test_last_day_is_in_the_calendar_of_the_job_and_not_in_that_of_the_customer(client, job, purpose, count):
    job.finished_on = timezone.localdate()
    job.save()
    renew_all(now=timezone.now())
    _, token = make_link(purpose=purpose, job=job, by=make_office(job.firm), now=timezone.now())
    text = client.get(reverse("calendar_feed", args=[token])).content.decode()
    assert text.count("SUMMARY:Last day: Certificate") == count


@pytest.mark.parametrize("kind", ["nonsense", "x" * 60])
def test_deadline_is_not_found_when_there_is_no_such_kind(page, job, kind):
    assert page.post(reverse("mark_deadline", args=[job.pk, kind])).status_code == 404


def test_other_firms_job_is_not_found_when_ticked(page):
    other = make_job(make_firm("Other"))
    assert page.post(reverse("mark_deadline", args=[other.pk, "certificate"])).status_code == 404

"""Every page that shows a planned date says how firm it is."""

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.actions import planning
from jobs.models import Dependency
from tests.factories import make_office
from tests.planning import make_working_firm

pytestmark = pytest.mark.django_db
WORDS = "(4 times in 5)"


@pytest.fixture
def job():
    job = make_working_firm()
    first, visit = job.packages.first(), job.visits.get()
    Dependency.objects.create(firm=job.firm, job=job, before_package=first, after_visit=visit)
    job.promised_finish_on = timezone.now().date().replace(year=timezone.now().year + 1)
    job.save()
    return job


@pytest.fixture
def office(client, job):
    user = make_office(job.firm)
    client.force_login(user)
    planning.refresh_draft(firm=job.firm, by=user, now=timezone.now())
    return client


def test_the_reasons_of_the_week_tell_ranges_when_there_is_a_plan(office, job):
    first_on = job.packages.first().spans.get().starts_on
    page = office.get(reverse("week"), {"from": first_on.isoformat()}).content.decode()
    assert WORDS in page[page.index('id="why-head"'):]


def test_visits_and_packages_tell_ranges_when_the_job_is_opened(office, job):
    page = office.get(reverse("job", args=[job.pk])).content.decode()
    hours, visits = page[page.index('id="hours"'):], page[page.index('id="visits"'):]
    assert WORDS in hours[: hours.index("</section>")]
    assert WORDS in visits[: visits.index("</section>")]


def test_the_promise_has_its_chance_when_the_job_is_opened(office, job):
    assert "the promise holds almost always" in office.get(reverse("job", args=[job.pk])).content.decode()


def test_the_review_tells_ranges_when_dates_are_told_for_the_first_time(office):
    page = office.get(reverse("plan_review")).content.decode()
    assert "the promise holds almost always" in page[page.index('id="finish-head"'):]


def test_nothing_is_hidden_in_colour_alone_when_a_bar_is_drawn(office, job):
    """The bar is hidden from readers; its words stand beside it."""
    page = office.get(reverse("job", args=[job.pk])).content.decode()
    assert 0 < page.count('class="range-bar"') <= page.count('class="range-words"')
    assert "style=" not in page

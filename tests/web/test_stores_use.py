import pytest
from django.urls import reverse

from jobs.core.stages import Stage
from jobs.models import Location
from tests.factories import make_area, make_firm, make_item, make_job, make_location, make_move, make_office, make_package

pytestmark = pytest.mark.django_db


def test_stores_page_of_a_job_shows_what_was_booked_against_what_ticks_expect(client):
    firm = make_firm()
    job, clip = make_job(firm, "Mill Cottage"), make_item(firm, "clip", name="Cable clip")
    make_package(make_area(job), Stage.FIRST_FIX)
    make_move(clip, make_location(firm), make_location(firm, Location.Kind.FITTED, job=job), 40, reason="use", job=job)
    client.force_login(make_office(firm), backend="django.contrib.auth.backends.ModelBackend")

    page = client.get(reverse("job_materials", args=[job.pk])).content.decode()

    assert '<td class="number">0</td><td class="number">40</td><td class="number">+40</td><td>ticks</td>' in page

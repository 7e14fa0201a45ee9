from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import Booking
from tests.factories import make_area, make_firm, make_job, make_office, make_package, make_person, make_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    firm = make_firm()
    person = make_person(firm, "Marta Quill", email="marta@crew.example")
    on = timezone.localdate()
    while on.weekday() > 4 or on.month == 12:
        on += timedelta(days=1)
    package = make_package(make_area(make_job(firm, "Mill Row", state="on_site")))
    Booking.objects.create(firm=firm, plan=make_plan(firm, "issued"), person=person, package=package, on=on, half="am", hours=4)
    return person


def test_office_reads_the_message_beforehand_when_somebody_is_booked(client, person):
    client.force_login(make_office(person.firm))
    body = client.get(reverse("morning_message", args=[person.pk])).content.decode()
    assert "MILL ROW" in body
    assert "marta@crew.example" in body


def test_page_says_so_when_nothing_is_booked(client, person):
    other = make_person(person.firm)
    client.force_login(make_office(person.firm))
    assert "Nothing is booked" in client.get(reverse("morning_message", args=[other.pk])).content.decode()


def test_office_reads_the_evening_summary_as_it_stands(client, person):
    client.force_login(make_office(person.firm))
    assert "Evening summary" in client.get(reverse("evening_summary")).content.decode()


def test_other_firms_message_is_not_found(client, person):
    client.force_login(make_office(make_firm("Other")))
    assert client.get(reverse("morning_message", args=[person.pk])).status_code == 404

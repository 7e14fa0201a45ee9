from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.actions.devices import let_in_by_code, make_sign_in
from jobs.models import Absence, Booking, DayRelease, Person, Plan
from tests.factories import (
    make_area,
    make_crew_user,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_plan,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(firm):
    return make_person(firm, "Priya")


@pytest.fixture
def client(client, office):
    client.force_login(office)
    return client


def text(response) -> str:
    return response.content.decode()


def test_crew_page_invites_when_nobody_is_there(client):
    assert "Add the first person" in text(client.get(reverse("crew")))


def test_crew_page_shows_where_a_person_is_today(client, firm, person):
    package = make_package(make_area(make_job(firm, "Mill Cottage")))
    plan = make_plan(firm, Plan.State.ISSUED)
    Booking.objects.create(
        firm=firm, plan=plan, person=person, package=package, on=timezone.localdate(), half="am", hours=4
    )

    page = text(client.get(reverse("crew")))

    assert "Mill Cottage: First fix, Ground floor" in page
    assert "not booked" in page


def test_crew_page_shows_absence_and_college(client, firm, person):
    today = timezone.localdate()
    Absence.objects.create(firm=firm, person=person, kind="sick", starts_on=today, ends_on=today, part="pm")
    DayRelease.objects.create(firm=firm, person=person, weekday=today.weekday(), starts_on=today, ends_on=today)

    page = text(client.get(reverse("crew")))

    assert "College" in page
    assert "Sick" in page


def test_crew_page_marks_who_is_under_18(client, firm):
    make_person(firm, "Kit", "apprentice", born_on=timezone.localdate() - timedelta(days=17 * 365))

    assert "under 18" in text(client.get(reverse("crew")))


def test_person_is_added_when_the_form_is_right(client):
    response = client.post(
        reverse("add_person"),
        {"name": "Sam", "grade": "electrician", "productivity": "1.0", "hours_per_week": "37.5", "is_active": "on"},
    )

    assert response.url == reverse("person", args=[Person.objects.get(name="Sam").pk])


def test_form_says_what_is_wrong_when_a_person_cannot_be_added(client, person):
    response = client.post(
        reverse("add_person"), {"name": "Priya", "grade": "electrician", "productivity": "1", "hours_per_week": "40"}
    )

    assert response.status_code == 422
    assert "There is a Priya already" in text(response)


def test_person_is_changed_when_the_form_is_right(client, person):
    client.post(
        reverse("person", args=[person.pk]),
        {"name": "Priya N", "grade": "electrician", "may_test": "on", "productivity": "1", "hours_per_week": "40",
         "is_active": "on"},
    )

    person.refresh_from_db()
    assert (person.name, person.may_test) == ("Priya N", True)


@pytest.mark.parametrize("hours", ["0", "-3", "1e9", "NaN", "forty"])
def test_person_is_kept_when_the_hours_make_no_sense(client, person, hours):
    response = client.post(
        reverse("person", args=[person.pk]),
        {"name": "Kim", "grade": "electrician", "productivity": "1", "hours_per_week": hours, "is_active": "on"},
    )

    assert response.status_code == 422
    assert Person.objects.get(pk=person.pk).name == "Priya"


def test_absence_is_added_and_removed(client, person):
    today = timezone.localdate()
    client.post(
        reverse("add_absence", args=[person.pk]),
        {"kind": "holiday", "starts_on": today, "ends_on": today, "part": "all", "note": "Wedding"},
    )
    assert "Wedding" in text(client.get(reverse("person", args=[person.pk])))

    client.post(reverse("remove_absence", args=[Absence.objects.get().pk]))
    assert not Absence.objects.exists()


def test_absence_form_stays_open_with_its_error_when_the_dates_are_swapped(client, person):
    response = client.post(
        reverse("add_absence", args=[person.pk]),
        {"kind": "sick", "starts_on": "2027-02-02", "ends_on": "2027-02-01", "part": "all", "note": ""},
    )

    assert response.status_code == 422
    assert "before the first" in text(response)


def test_college_day_is_added_and_removed(client, person):
    today = timezone.localdate()
    client.post(
        reverse("add_college_day", args=[person.pk]), {"weekday": "2", "starts_on": today, "ends_on": today}
    )
    assert "Wednesday" in text(client.get(reverse("person", args=[person.pk])))

    client.post(reverse("remove_college_day", args=[DayRelease.objects.get().pk]))
    assert not DayRelease.objects.exists()


def test_sign_in_shows_a_code_and_a_qr_of_the_link(client, person):
    response = client.post(reverse("make_sign_in", args=[person.pk]))

    assert "data:image/svg+xml" in text(response)
    assert f"http://testserver{reverse('sign_in_link')}#" in text(response)
    assert "no-store" in response["Cache-Control"]


def test_sign_in_explains_when_the_person_has_left(client, firm):
    gone = make_person(firm, "Lee", is_active=False)

    response = client.post(reverse("make_sign_in", args=[gone.pk]), follow=True)

    assert "has left" in text(response)


def test_phone_is_listed_and_can_be_signed_out(client, person, office):
    sign_in = make_sign_in(person=person, by=office, now=timezone.now())
    device = let_in_by_code(code=sign_in.code, device_name="Android phone", now=timezone.now()).device
    assert "Android phone" in text(client.get(reverse("person", args=[person.pk])))

    client.post(reverse("revoke_device", args=[device.pk]))
    assert "No phone is signed in" in text(client.get(reverse("person", args=[person.pk])))


@pytest.mark.parametrize("name", ["person", "add_absence", "add_college_day", "make_sign_in"])
def test_person_of_another_firm_is_not_found(client, name):
    stranger = make_person(make_firm("Other"))

    assert client.post(reverse(name, args=[stranger.pk])).status_code == 404


def test_crew_member_is_sent_to_the_site_page(client, person):
    client.force_login(make_crew_user(person))

    assert client.get(reverse("crew")).url == reverse("today")
    assert client.post(reverse("make_sign_in", args=[person.pk])).status_code == 403

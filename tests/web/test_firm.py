from datetime import timedelta

import pytest
from django.forms import model_to_dict
from django.urls import reverse
from django.utils import timezone

from jobs.models import CalendarDay, Firm
from jobs.web.forms.firm import FirmForm
from tests.factories import NOW, TODAY, make_crew_user, make_firm, make_office, make_person

pytestmark = pytest.mark.django_db

TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture(autouse=True)
def _clock(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def client(client, firm):
    client.force_login(make_office(firm))
    return client


def text(response) -> str:
    return response.content.decode()


def details(firm, **changed: object) -> dict[str, object]:
    return model_to_dict(firm, fields=FirmForm.Meta.fields) | changed


def add_day(client, **changed: object):
    return client.post(
        reverse("add_firm_day"), {"on": TOMORROW.isoformat(), "is_working": "rests", "name": "Stocktaking"} | changed
    )


def test_page_shows_details_own_days_and_bank_holidays(client, firm):
    CalendarDay.objects.create(firm=firm, on=TOMORROW, name="Stocktaking")
    page = text(client.get(reverse("firm")))
    wanted = (firm.email, "Wed 13 Jan 2027", "Stocktaking", "Fri 26 Mar 2027: Good Friday", "Remove")
    assert [words for words in wanted if words not in page] == []


def test_page_says_so_when_a_bank_holiday_is_worked(client, firm):
    CalendarDay.objects.create(firm=firm, on="2027-03-26", is_working=True, name="Catching up")
    assert "works all the same" in text(client.get(reverse("firm")))


def test_every_office_page_leads_to_the_firm(client):
    assert f'href="{reverse("firm")}"' in text(client.get(reverse("crew")))


def test_details_are_kept_when_saved(client, firm):
    assert client.post(reverse("firm"), details(firm, holiday_region="SCT", order_cut_off="17:30")).status_code == 302
    firm.refresh_from_db()
    assert (firm.holiday_region, str(firm.order_cut_off)) == ("SCT", "17:30:00")


@pytest.mark.parametrize(
    "changed, words",
    [
        ({"afternoon_ends": "11:00"}, "A day goes forward"),
        ({"zone": "Nowhere"}, "is not a time zone"),
        ({"holiday_region": "FRA"}, "Select a valid choice"),
        ({"cable_waste_percent": "-3"}, "greater than or equal to 0"),
        ({"morning_starts": "early"}, "Enter a valid time"),
        ({"occupied_factor": "NaN"}, "Enter a number"),
    ],
)
def test_bad_details_come_back_in_words_and_change_nothing(client, firm, changed, words):
    response = client.post(reverse("firm"), details(firm, name="Changed", **changed))
    assert response.status_code == 422
    assert words in text(response)
    assert Firm.objects.get().name == firm.name


def test_day_is_added_and_the_page_comes_back(client, firm):
    assert add_day(client).url == reverse("firm") + "#days"
    assert CalendarDay.objects.get().name == "Stocktaking"


@pytest.mark.parametrize(
    "changed, words",
    [
        ({"on": "soon"}, "Enter a valid date"),
        ({"on": "2027-01-16"}, "as it is: weekend"),
        ({"is_working": "works"}, "is a working day as it is"),
        ({"name": ""}, "This field is required"),
    ],
)
def test_bad_day_comes_back_in_words(client, changed, words):
    response = add_day(client, **changed)
    assert (response.status_code, CalendarDay.objects.count()) == (422, 0)
    assert words in text(response)


def test_day_is_removed(client, firm):
    day = CalendarDay.objects.create(firm=firm, on=TOMORROW, name="Stocktaking")
    client.post(reverse("remove_firm_day", args=[day.pk]))
    assert not CalendarDay.objects.exists()


def test_day_of_another_firm_is_not_found(client):
    day = CalendarDay.objects.create(firm=make_firm("Other"), on=TOMORROW, name="Stocktaking")
    assert client.post(reverse("remove_firm_day", args=[day.pk])).status_code == 404
    assert CalendarDay.objects.exists()


def test_crew_is_sent_to_the_site_page(client, firm):
    client.force_login(make_crew_user(make_person(firm)))
    assert client.get(reverse("firm")).url == reverse("today")

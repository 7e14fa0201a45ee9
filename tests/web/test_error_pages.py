import pytest
from django.template.loader import render_to_string
from django.test import Client

from jobs.actions.permission import Refused
from jobs.models import CalendarDay, Firm
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    user = factories.make_office(factories.make_firm())
    client.force_login(user)
    return client


def test_page_says_what_may_be_wrong_when_an_address_is_unknown(office):
    answer = office.get("/jobs/123456/")
    assert answer.status_code == 404
    assert "not here" in answer.content.decode()


def test_page_says_load_again_when_a_form_is_too_old():
    firm = factories.make_firm()
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(factories.make_office(firm))
    answer = strict.post("/jobs/add/", {"name": "Mill House"})
    assert answer.status_code == 403
    assert "Load the page again" in answer.content.decode()


def test_page_needs_nothing_of_the_request_when_something_broke():
    assert "Nothing of this was saved" in render_to_string("500.html")


def test_sentence_is_told_when_an_action_refuses_and_no_form_says_it(office, monkeypatch):
    def refuse(**details: object) -> None:
        raise Refused("The plan was made anew. Look at it again.")

    monkeypatch.setattr("jobs.web.views.firm.firm_days.remove_firm_day", refuse)
    firm = Firm.objects.get()
    day = CalendarDay.objects.create(firm=firm, on=factories.TODAY, name="Stocktaking")
    answer = office.post(f"/firm/days/{day.pk}/remove/")
    assert answer.status_code == 409
    assert "The plan was made anew. Look at it again." in answer.content.decode()

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.actions.held_back import hold_back
from jobs.actions.issuing import issue_plan
from jobs.models import Contact, Delivery, HeldBack, Notice, Plan
from tests.actions.test_held_back import draft_on, draft_with_crew
from tests.factories import NOW, make_firm
from tests.told import NEXT_FRIDAY, make_told

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW + timedelta(hours=2))


@pytest.fixture
def office(client, told):
    client.force_login(told.office, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def draft(told) -> Plan:
    return draft_on(told, NEXT_FRIDAY)


@pytest.fixture
def booked(told) -> Plan:
    return draft_with_crew(told)


def page(client, path: str) -> str:
    response = client.get(path)
    assert response.status_code == 200
    return response.content.decode()


def hold(office, told, draft, reason="Ring first"):
    return office.post(f"/plan/{draft.pk}/hold-back/{told.contact.pk}/", {"reason": reason}, follow=True)


def test_review_counts_no_message_when_the_only_one_is_held_back(office, told, draft):
    assert "1 message will go out" in page(office, "/plan/review/")
    shown = hold(office, told, draft).content.decode()
    assert "No message will go out" in shown
    assert "Held back by Olwen: “Ring first”" in shown


def test_nothing_is_held_back_when_no_reason_is_given(office, told, draft):
    assert "Say why" in hold(office, told, draft, reason="").content.decode()
    assert not HeldBack.objects.exists()


def test_message_leaves_with_the_others_when_it_is_let_go(office, told, draft):
    hold(office, told, draft)
    shown = office.post(f"/plan/held-back/{HeldBack.objects.get().pk}/let-go/", follow=True).content.decode()
    assert "1 message will go out" in shown


def test_held_back_message_is_on_both_pages_until_they_are_told(office, told, draft):
    held = hold_back(plan=draft, recipient=told.contact, reason="Ring first", by=told.office, now=NOW)
    issue_plan(plan=draft, version=draft.version, by=told.office, now=NOW)
    draft_on(told, NEXT_FRIDAY)
    for path in ("/plan/review/", "/trades/messages/"):
        assert "Tell them now" in page(office, path)
    shown = office.post(f"/trades/messages/held/{held.pk}/tell/", follow=True).content.decode()
    assert ("is being told" in shown, "Tell them now" in shown) == (True, False)


def test_review_counts_no_message_to_the_crew_when_it_is_held_back(office, told, booked):
    person = booked.bookings.get().person
    assert "Hold this one back" in page(office, "/plan/review/")
    shown = office.post(f"/plan/{booked.pk}/hold-back/crew/{person.pk}/", {"reason": "Ring her"}, follow=True).content.decode()
    assert ("No message will go out" in shown, "Held back by Olwen: “Ring her”" in shown) == (True, True)


def test_held_back_message_to_the_crew_is_listed_until_they_are_told(office, told, booked):
    person = booked.bookings.get().person
    held = hold_back(plan=booked, recipient=person, reason="Ring her", by=told.office, now=NOW)
    issue_plan(plan=booked, version=booked.version, by=told.office, now=NOW)
    assert "Tell them now" in page(office, "/trades/messages/")
    shown = office.post(f"/trades/messages/held/{held.pk}/tell/", follow=True).content.decode()
    assert ("Asha is being told" in shown, "Tell them now" in shown) == (True, False)


def test_contact_of_another_firm_is_not_found_when_held_back(office, draft):
    other = make_told(make_firm("Other"), name="Quinn")
    assert office.post(f"/plan/{draft.pk}/hold-back/{other.contact.pk}/", {"reason": "x"}).status_code == 404


def test_message_says_who_passed_it_on_when_somebody_did(office, told):
    Contact.objects.update(channel="copy")
    path = f"/trades/{told.contact.pk}/"
    assert "I passed it on" in page(office, path)
    response = office.post(f"/trades/messages/{Notice.objects.get().pk}/passed-on/", {"back": path}, follow=True)
    assert (response.redirect_chain[0][0], Delivery.objects.get().passed_by) == (path, told.office)
    assert "By Olwen" in response.content.decode()


def test_passing_on_leads_to_the_messages_when_the_way_back_is_elsewhere(office, told):
    path = f"/trades/messages/{Notice.objects.get().pk}/passed-on/"
    assert office.post(path, {"back": "https://elsewhere.example/"})["Location"] == "/trades/messages/"


def test_log_says_what_was_told_how_and_what_they_answered(office, told):
    shown = page(office, f"/trades/{told.contact.pk}/")
    wanted = ("Dates they were told", "No answer yet", "Calendar version 0", "was not fetched since")
    assert [words for words in wanted if words not in shown] == []


def test_queries_of_the_log_stay_the_same_when_more_was_told(office, told, django_assert_max_num_queries):
    for number in range(5):
        make_told(told.firm, name=f"Quinn {number}")
    with django_assert_max_num_queries(30):
        page(office, f"/trades/{told.contact.pk}/")

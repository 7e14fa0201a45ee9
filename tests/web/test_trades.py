from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.actions.links import make_link
from jobs.actions.visits import suggest_days
from jobs.core.stages import Trade
from jobs.models import Contact, ContactAway, Invitation, MailAnswer, SecretLink, SuggestedDay, Visit
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_visit,
    make_visit_kind,
)
from tests.told import NEXT_FRIDAY, Told, issue_next, make_told

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=2)


@pytest.fixture(autouse=True)
def _clock(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: LATER)


@pytest.fixture
def office(client, told):
    client.force_login(told.office, backend="django.contrib.auth.backends.ModelBackend")
    return client


def page(client, path: str) -> str:
    response = client.get(path)
    assert response.status_code == 200
    return response.content.decode()


def test_trades_page_says_what_to_do_when_there_is_nobody(client):
    client.force_login(make_office(make_firm()), backend="django.contrib.auth.backends.ModelBackend")
    assert "Add the first contact" in page(client, "/trades/")


def test_contacts_stand_under_their_trade_with_visits_and_last_notice(office, told):
    shown = page(office, "/trades/")
    wanted = ("Plasterer", "Pat", "Plastering, Mill Row Pat", "Told Fri 15 January", "asked, no answer yet", "Last told")
    assert [words for words in wanted if words not in shown] == []


def test_answer_shows_with_its_note_when_a_trade_cannot_come(office, told):
    Visit.objects.update(state=Visit.State.DECLINED, answer_note="On another site")
    shown = page(office, "/trades/")
    assert "cannot make it" in shown
    assert "On another site" in shown


def test_visit_stands_on_top_when_nobody_is_chosen_for_it(office, told):
    make_visit(make_job(told.firm, "Elm House"))
    assert "Visits with nobody chosen" in page(office, "/trades/")


def test_other_firms_contacts_never_show_on_the_trades_page(office, told):
    make_told(make_firm("Other"), name="Robin")
    assert "Robin" not in page(office, "/trades/")


def test_queries_stay_the_same_in_number_when_trades_are_many(office, told, django_assert_num_queries):
    houses = [make_job(told.firm, f"House {number}") for number in range(5)]
    issue_next(told, NEXT_FRIDAY, LATER, *(make_visit(house, make_contact(told.firm, Trade.PLUMBER)) for house in houses))
    with django_assert_num_queries(9):
        office.get("/trades/")


def test_crew_are_sent_to_their_own_page_when_they_open_trades(client, told):
    crew = make_crew_user(make_person(told.firm))
    client.force_login(crew, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/trades/").status_code == 302
    assert client.post("/trades/add/", {"name": "X", "trade": Trade.OTHER}).status_code == 403


def test_contact_is_added_when_the_form_is_filled_in(office, told):
    office.post("/trades/add/", {"name": "Quinn", "trade": Trade.PLUMBER, "channel": "mail", "email": "quinn@trades.example"})
    assert Contact.objects.get(name="Quinn").firm == told.firm


def test_form_says_what_is_wrong_when_a_contact_is_there_already(office, told):
    response = office.post("/trades/add/", {"name": "Pat", "trade": Trade.PLASTERER, "channel": "mail"})
    assert (response.status_code, "called Pat already" in response.content.decode()) == (422, True)


def test_contact_is_changed_when_edited(office, told):
    path = f"/trades/{told.contact.pk}/edit/"
    office.post(path, {"name": "Pat", "trade": Trade.PLASTERER, "channel": "copy", "phone": "07700 900123"})
    assert Contact.objects.get(pk=told.contact.pk).phone == "07700 900123"


def test_contact_page_shows_links_codes_and_messages(office, told):
    shown = page(office, f"/trades/{told.contact.pk}/")
    wanted = (f"http://testserver{told.path}", "/calendar/", "data:image/svg+xml", "Copy this message", "not sent yet")
    assert [words for words in wanted if words not in shown] == []


def test_message_is_ready_to_copy_when_the_contact_has_no_address(office, told):
    Contact.objects.update(email="")
    shown = page(office, f"/trades/{told.contact.pk}/")
    assert "copy this message" in shown
    assert "Plastering, Mill Row Pat: Fri 15 January, all day." in shown


def test_messages_page_lists_everyone_told_and_who_needs_a_copy(office, told):
    Contact.objects.update(email="")
    shown = page(office, "/trades/messages/")
    assert [words for words in ("Pat", "copy this message", told.path) if words not in shown] == []


def test_messages_page_takes_few_queries_when_many_were_told(office, told, django_assert_num_queries):
    houses = [make_job(told.firm, f"House {number}") for number in range(4)]
    issue_next(told, NEXT_FRIDAY, LATER, *(make_visit(house, make_contact(told.firm)) for house in houses))
    with django_assert_num_queries(9):
        office.get("/trades/messages/")


def test_messages_page_says_so_when_nobody_was_told(client):
    client.force_login(make_office(make_firm()), backend="django.contrib.auth.backends.ModelBackend")
    assert "Nobody was told anything yet" in page(client, "/trades/messages/")


def test_both_addresses_change_at_once_when_renewed(office, told):
    for link in SecretLink.objects.all():
        office.post(f"/trades/links/{link.pk}/rotate/")
    assert office.get(told.path).status_code == 404
    assert sorted(SecretLink.objects.values_list("version", flat=True)) == [2, 2]


def test_address_stops_when_switched_off_and_starts_anew_when_made(office, told):
    office.post(f"/trades/links/{told.link.pk}/revoke/")
    assert office.get(told.path).status_code == 404
    office.post(f"/trades/links/trade_page/{told.contact.pk}/make/")
    assert told.path not in page(office, f"/trades/{told.contact.pk}/")


def test_calendars_page_lists_crew_jobs_and_trades(office, told):
    asha = make_person(told.firm, "Asha")
    make_link(purpose=SecretLink.Purpose.PERSON_FEED, person=asha, by=told.office, now=NOW)
    shown = page(office, "/trades/calendars/")
    assert [words for words in ("Asha", "Mill Row Pat", "Pat", "on, not read yet", "off") if words not in shown] == []


def test_calendar_of_one_person_is_made_and_shown_when_asked(office, told):
    asha = make_person(told.firm, "Asha")
    office.post(f"/trades/links/person_feed/{asha.pk}/make/")
    assert "/calendar/" in page(office, f"/trades/links/person_feed/{asha.pk}/")


def test_unknown_kind_of_link_is_not_found(office, told):
    assert office.get(f"/trades/links/customer/{told.contact.pk}/").status_code == 404


def test_visit_page_shows_who_when_and_what_is_missing(office):
    covered = make_told(name="Quinn", covers_up=True)
    office.force_login(covered.office, backend="django.contrib.auth.backends.ModelBackend")
    shown = page(office, f"/trades/visits/{covered.visit.pk}/")
    wanted = ("Quinn", "Told Fri 15 January, all day", "There is no hold point in this job", "Answered by phone")
    assert [words for words in wanted if words not in shown] == []


def test_somebody_is_chosen_when_the_visit_form_is_sent(office, told):
    other = make_contact(told.firm, name="Quinn")
    office.post(f"/trades/visits/{told.visit.pk}/assign/", {"contact": other.pk, "not_before_on": "2027-02-01"})
    visit = Visit.objects.get()
    assert (visit.contact, str(visit.not_before_on), visit.state) == (other, "2027-02-01", Visit.State.PENCILLED)


def test_foreign_contact_is_no_choice_when_the_visit_form_is_sent(office, told):
    foreign = make_contact(make_firm("Other"))
    assert office.post(f"/trades/visits/{told.visit.pk}/assign/", {"contact": foreign.pk}).status_code == 422


def test_phone_answer_is_written_down_when_sent(office, told):
    office.post(f"/trades/visits/{told.visit.pk}/answer/", {"answer": "accepted"})
    assert Visit.objects.get().state == Visit.State.ACCEPTED


def test_visit_is_finished_cancelled_and_opened_again_when_asked(office, told):
    path = f"/trades/visits/{told.visit.pk}/"
    states = []
    for act, data in (("finish", {"started_on": TODAY}), ("reopen", {}), ("cancel", {}), ("reopen", {})):
        office.post(f"{path}{act}/", data)
        states.append(Visit.objects.get().state)
    assert states == ["done", "pencilled", "cancelled", "pencilled"]


def test_refusal_is_shown_on_the_page_when_a_visit_cannot_be_done_yet(office, told):
    response = office.post(f"/trades/visits/{told.visit.pk}/finish/", {"started_on": "2027-06-01"})
    assert (response.status_code, "has not come yet" in response.content.decode()) == (422, True)


def test_moved_plan_shows_beside_the_told_date(office, told):
    issue_next(told, NEXT_FRIDAY, LATER)
    assert "Told Fri 22 January" in page(office, f"/trades/visits/{told.visit.pk}/")


@pytest.mark.parametrize(
    "path",
    ["{contact}/", "{contact}/edit/", "visits/{visit}/", "links/trade_page/{contact}/", "links/trade_feed/{contact}/"],
)
def test_other_firms_pages_are_not_found(office, path):
    foreign = make_told(make_firm("Other"), name="Robin")
    assert office.get("/trades/" + path.format(contact=foreign.contact.pk, visit=foreign.visit.pk)).status_code == 404


@pytest.mark.parametrize(
    "path",
    [
        "{contact}/edit/", "visits/{visit}/assign/", "visits/{visit}/answer/", "visits/{visit}/finish/",
        "visits/{visit}/cancel/", "visits/{visit}/reopen/", "links/{link}/rotate/", "links/{link}/revoke/",
        "links/trade_page/{contact}/make/",
    ],
)
def test_other_firms_rows_are_not_found_when_posted_to(office, path):
    foreign = make_told(make_firm("Other"), name="Robin")
    keys = {"contact": foreign.contact.pk, "visit": foreign.visit.pk, "link": foreign.link.pk}
    assert office.post("/trades/" + path.format(**keys)).status_code == 404


def test_agreed_date_shows_when_the_office_keeps_it(client):
    told = make_told()
    client.force_login(told.office)
    body = {"starts_on": "2099-01-15", "starts_half": "am"}
    page = client.post(f"/trades/visits/{told.visit.pk}/agree/", body, follow=True)
    assert "The plan keeps that date" in page.content.decode()


def test_what_is_wrong_is_said_when_an_agreed_day_has_passed(client):
    told = make_told()
    client.force_login(told.office)
    page = client.post(f"/trades/visits/{told.visit.pk}/agree/", {"starts_on": "2020-01-15", "starts_half": "am"})
    assert page.status_code == 422
    assert "has passed" in page.content.decode()


def make_covering(told) -> Visit:
    return make_visit(
        make_job(told.office.firm, "Gate House"), make_contact(told.office.firm, name="Gil"),
        make_visit_kind(told.office.firm, name="Skimming", covers_up=True), state=Visit.State.ACCEPTED, starts_on=TODAY,
    )


def test_go_ahead_says_what_is_missing_and_keeps_a_named_override(office, told):
    visit = make_covering(told)
    address = f"/trades/visits/{visit.pk}/go-ahead/"
    refused = office.post(address, {"override_reason": ""})
    assert (refused.status_code, "No hold point" in refused.content.decode()) == (422, True)

    office.post(address, {"override_reason": "Nothing of ours in there"})

    assert "“Nothing of ours in there”" in page(office, f"/trades/visits/{visit.pk}/")


def test_job_page_keeps_overrides_of_the_gate(office, told):
    visit = make_covering(told)
    make_package(make_area(visit.job))
    office.post(f"/trades/visits/{visit.pk}/go-ahead/", {"override_reason": "Nothing of ours in there"})

    assert "Nothing of ours in there" in page(office, f"/jobs/{visit.job_id}/")


def add_away(office, contact, **changed: str):
    days = {"starts_on": "2027-01-15", "ends_on": "2027-01-18", "note": "Wedding"}
    return office.post(f"/trades/{contact.pk}/away/", days | changed)


def test_days_away_stand_on_the_contacts_page_until_removed(office, told):
    assert add_away(office, told.contact).status_code == 302
    assert "Fri 15 Jan to Mon 18 Jan 2027" in page(office, f"/trades/{told.contact.pk}/")
    office.post(f"/trades/away/{ContactAway.objects.get().pk}/remove/")
    assert "No day off known" in page(office, f"/trades/{told.contact.pk}/")


@pytest.mark.parametrize(
    "changed, words",
    [
        ({"starts_on": "soon"}, "Enter a valid date"),
        ({"ends_on": "2027-01-01"}, "last day comes before the first"),
        ({"note": "x" * 201}, "at most 200 characters"),
    ],
)
def test_bad_days_away_come_back_in_words(office, told, changed, words):
    response = add_away(office, told.contact, **changed)
    assert (response.status_code, ContactAway.objects.count()) == (422, 0)
    assert words in response.content.decode()


def test_days_away_of_another_firm_are_not_found(office):
    other = make_contact(make_firm("Other"))
    away = ContactAway.objects.create(firm=other.firm, contact=other, starts_on=TODAY, ends_on=TODAY)
    answers = [add_away(office, other), office.post(f"/trades/away/{away.pk}/remove/")]
    assert [answer.status_code for answer in answers] == [404, 404]


def suggest(told: Told) -> SuggestedDay:
    days = [(NEXT_FRIDAY, "am"), (NEXT_FRIDAY + timedelta(days=3), "pm")]
    suggest_days(told=told.date, link=told.link, days=days, note="Van in the garage", now=LATER)
    return SuggestedDay.objects.order_by("on").first()


def test_office_sees_what_each_suggested_day_would_move(office, told):
    suggest(told)
    assert "suggests other days" in page(office, "/trades/")
    words = page(office, f"/trades/visits/{told.visit.pk}/suggested/")
    wanted = ("Fri 22 January, from the morning", "Mon 25 January, from midday", "Van in the garage", "would move")
    assert [part for part in wanted if part not in words] == []


def test_office_accepts_a_suggested_day(office, told):
    response = office.post(f"/trades/visits/suggested/{suggest(told).pk}/accept/")
    visit = Visit.objects.get(pk=told.visit.pk)
    assert (response.status_code, visit.state, visit.starts_on) == (302, "accepted", NEXT_FRIDAY)


def test_office_is_told_when_a_suggested_day_no_longer_stands(office, told):
    day = suggest(told)
    Visit.objects.update(state="accepted")
    response = office.post(f"/trades/visits/suggested/{day.pk}/accept/")
    assert (response.status_code, "no longer suggest" in response.content.decode()) == (409, True)


def test_suggested_days_of_another_firm_are_not_found(office):
    other = make_told(make_firm("Other"), name="Robin")
    day = suggest(other)
    answers = [
        office.get(f"/trades/visits/{other.visit.pk}/suggested/"), office.post(f"/trades/visits/suggested/{day.pk}/accept/"),
    ]
    assert [answer.status_code for answer in answers] == [404, 404]


def test_visit_shows_what_their_calendar_was_told_and_what_came_back(office, told):
    invitation = Invitation.objects.get()
    MailAnswer.objects.create(
        firm=told.firm, message_id="<1@x>", contact=told.contact, invitation=invitation, sequence=0, answer="accepted",
        outcome="stale", reason="They answer Fri 15 January.", received_at=LATER,
    )
    words = page(office, f"/trades/visits/{told.visit.pk}/")
    wanted = ("In their calendar", "Pencilled: Fri 15 January, 08:00 to 16:30", "to a date that no longer stands", "to version 0")
    assert [part for part in wanted if part not in words] == []
    assert "They answer Fri 15 January." in page(office, f"/trades/{told.contact.pk}/")


def test_office_writes_down_days_suggested_by_phone(office, told):
    form = {"answer": "suggested", "day_1": "2027-01-20", "half_1": "am"}
    assert office.post(f"/trades/visits/{told.visit.pk}/answer/", form).status_code == 302
    assert str(SuggestedDay.objects.get()) == "Wed 20 January, from the morning"


@pytest.mark.parametrize("day", ["", "2027-01-01"])
def test_fault_stands_by_the_day_when_days_by_phone_are_bad(office, told, day):
    response = office.post(f"/trades/visits/{told.visit.pk}/answer/", {"answer": "suggested", "day_1": day})
    assert (response.status_code, SuggestedDay.objects.count()) == (422, 0)


def test_office_turns_suggested_days_down_when_none_suits(client, told):
    suggest_days(told=told.date, link=told.link, days=[(NEXT_FRIDAY, "am")], now=NOW)
    client.force_login(told.office, backend="django.contrib.auth.backends.ModelBackend")
    path = f"/trades/visits/{told.visit.pk}/suggested/"
    assert "Turn this day down" in client.get(path).content.decode()
    shown = client.post(f"{path}turn-down/", {"reason": "Floors are up."}, follow=True).content.decode()
    assert "is told that these days do not suit" in shown
    assert client.post(f"{path}turn-down/").status_code == 409

import re
from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from jobs.actions.links import revoke_link, rotate_link
from jobs.actions.visits import assign_visit, cancel_visit
from jobs.models import SecretLink, ToldDate, Visit
from jobs.web.forms.outside import answer_key
from tests.factories import NOW, make_contact, make_firm, make_job, make_visit
from tests.told import NEXT_FRIDAY, Told, issue_next, make_told

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=2)


@pytest.fixture(autouse=True)
def _clock(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: LATER)


@pytest.fixture
def outsider() -> Client:
    return Client(enforce_csrf_checks=True)


def key_on(page) -> str:
    return re.search(r'name="key" value="([^"]+)"', page.content.decode())[1]


def answer(outsider: Client, told: Told, *, key: str = "", **fields: str):
    data = {"key": key or answer_key(told.link, told.date), "answer": "accepted"} | fields
    return outsider.post(f"{told.path}answer/", data)


def state() -> str:
    return Visit.objects.get().state


def test_page_shows_job_address_work_and_date_when_opened(outsider, told):
    page = outsider.get(told.path).content.decode()
    wanted = ("Fri 15 January, all day", "Plastering", "Mill Row Pat", "4 Mill Row, Hexby", "07700 900100", "1 needs your")
    assert [words for words in wanted if words not in page] == []


def test_page_shows_nobody_elses_dates_when_opened(outsider, told):
    make_told(told.firm, name="Quinn")
    make_told(make_firm("Other"), name="Robin")
    page = outsider.get(told.path).content.decode()
    assert not any(name in page for name in ("Quinn", "Robin"))


def test_page_keeps_itself_secret_when_opened(outsider, told):
    page = outsider.get(told.path)
    assert (page["Referrer-Policy"], page["Cache-Control"]) == ("no-referrer", "no-store")
    assert page["X-Robots-Tag"] == "noindex, nofollow"
    assert not page.cookies


def test_page_says_so_when_there_is_no_date(outsider, told):
    cancel_visit(visit=told.visit, by=told.office, now=NOW)
    assert "There is no date for you" in outsider.get(told.path).content.decode()


def test_page_offers_the_calendar_both_ways_when_it_is_on(outsider, told):
    page = outsider.get(told.path).content.decode()
    assert "webcal://testserver/calendar/" in page
    assert "http://testserver/calendar/" in page


def test_page_offers_no_calendar_when_it_is_switched_off(outsider, told):
    revoke_link(link=SecretLink.objects.get(purpose=SecretLink.Purpose.TRADE_FEED), by=told.office, now=NOW)
    assert "webcal:" not in outsider.get(told.path).content.decode()


def test_go_ahead_is_not_promised_when_covered_work_is_not_recorded(outsider):
    page = outsider.get(make_told(covers_up=True).path).content.decode()
    assert "Go-ahead: not yet" in page


@pytest.mark.parametrize("path", ["/t/unknown/", "/t/unknown/answer/"])
def test_unknown_address_is_not_found_when_opened_or_answered(outsider, path):
    response = outsider.post(path) if "answer" in path else outsider.get(path)
    assert (response.status_code, response["Referrer-Policy"]) == (404, "no-referrer")


def test_people_are_told_on_a_page_and_programs_in_a_line_when_a_link_opens_nothing(outsider):
    page, line = (outsider.get("/t/unknown/", headers={"Accept": accepted}) for accepted in ("text/html", "text/calendar"))
    assert (page.status_code, page["Cache-Control"]) == (404, "no-store")
    assert "<h1>This link opens nothing</h1>" in page.content.decode()
    assert line["Content-Type"].startswith("text/plain")


def test_address_is_not_found_at_once_when_switched_off(outsider, told):
    revoke_link(link=told.link, by=told.office, now=LATER)
    assert outsider.get(told.path).status_code == 404
    assert answer(outsider, told).status_code == 404


def test_old_address_is_not_found_at_once_when_renewed(outsider, told):
    rotate_link(link=told.link, by=told.office, now=LATER)
    assert outsider.get(told.path).status_code == 404


def test_visit_is_agreed_when_the_form_on_the_page_is_sent(outsider, told):
    response = answer(outsider, told, key=key_on(outsider.get(told.path)))
    assert (response.status_code, response["Location"]) == (303, f"{told.path}#visit-{told.visit.pk}")
    assert state() == Visit.State.ACCEPTED


def test_answer_shows_on_the_page_when_given(outsider, told):
    answer(outsider, told)
    assert "you can make it" in outsider.get(told.path).content.decode()


def test_same_answer_twice_changes_nothing_when_sent_again(outsider, told):
    assert [answer(outsider, told).status_code for _ in range(2)] == [303, 303]
    assert Visit.objects.get().answered_at == LATER


def test_visit_is_declined_with_note_and_day_when_sent(outsider, told):
    answer(outsider, told, answer="declined", note="On another site", can_come_on="2027-01-20")
    visit = Visit.objects.get()
    assert (visit.state, visit.answer_note) == (Visit.State.DECLINED, "On another site")
    assert visit.not_before_on == date(2027, 1, 20)


def test_nothing_is_answered_when_a_page_is_only_looked_at(outsider, told):
    outsider.get(told.path)
    outsider.head(told.path)
    outsider.get(f"{told.path}answer/", {"key": answer_key(told.link, told.date), "answer": "accepted"})
    assert state() == Visit.State.ASKED


def test_stale_answer_is_told_so_when_the_date_moved_meanwhile(outsider, told):
    key = key_on(outsider.get(told.path))
    issue_next(told, NEXT_FRIDAY, LATER)
    response = answer(outsider, told, key=key)
    assert response.status_code == 409
    assert "This date changed meanwhile: it is Fri 22 January, all day now." in response.content.decode()
    assert state() == Visit.State.ASKED


def test_stale_answer_is_told_so_when_the_visit_went_to_somebody_else(outsider, told):
    key = key_on(outsider.get(told.path))
    assign_visit(visit=told.visit, contact=make_contact(told.firm), not_before_on=None, by=told.office)
    assert answer(outsider, told, key=key).status_code == 409


@pytest.mark.parametrize("key", ["", "forged", "WzEsMSwxXQ:1abc:forged", "\x00"])
def test_answer_is_refused_when_its_key_is_forged(outsider, told, key):
    response = outsider.post(f"{told.path}answer/", {"key": key, "answer": "accepted"})
    assert (response.status_code, state()) == (403, Visit.State.ASKED)


def test_answer_is_refused_when_its_key_belongs_to_another_trade(outsider, told):
    other = make_told(told.firm, name="Quinn")
    response = answer(outsider, told, key=answer_key(other.link, other.date))
    assert (response.status_code, told.date.answer) == (403, ToldDate.Answer.NONE)


def test_answer_is_not_found_when_its_date_was_told_to_another_trade(outsider, told):
    other = make_told(told.firm, name="Quinn")
    assert answer(outsider, told, key=answer_key(told.link, other.date)).status_code == 404


def test_answer_is_refused_when_another_site_sends_it(outsider, told):
    data = {"key": answer_key(told.link, told.date), "answer": "accepted"}
    response = outsider.post(f"{told.path}answer/", data, headers={"Sec-Fetch-Site": "cross-site"})
    assert (response.status_code, state()) == (403, Visit.State.ASKED)


def test_answer_is_taken_when_the_browser_hides_where_it_comes_from(outsider, told):
    """With the policy no-referrer a browser sends the header Origin: null (Fetch standard, "append a request Origin")."""
    data = {"key": answer_key(told.link, told.date), "answer": "accepted"}
    assert outsider.post(f"{told.path}answer/", data, headers={"Origin": "null"}).status_code == 303


@pytest.mark.parametrize(
    "fields",
    [{"answer": "perhaps"}, {"answer": "declined", "can_come_on": "soon"}, {"answer": "declined", "note": "x" * 301}],
    ids=str,
)
def test_what_is_wrong_is_said_when_an_answer_is_malformed(outsider, told, fields):
    assert (answer(outsider, told, **fields).status_code, state()) == (422, Visit.State.ASKED)


def test_text_stays_text_when_a_note_holds_markup(outsider, told):
    answer(outsider, told, answer="declined", note="<script>alert(1)</script>")
    assert "<script>alert" not in outsider.get(told.path).content.decode()


def test_last_opening_is_kept_when_the_page_is_opened(outsider, told):
    outsider.get(told.path)
    assert SecretLink.objects.get(pk=told.link.pk).last_used_at == LATER


def test_queries_stay_the_same_in_number_when_dates_are_many(outsider, told, django_assert_num_queries):
    houses = [make_job(told.firm, f"House {number}") for number in range(4)]
    issue_next(told, NEXT_FRIDAY, LATER, *(make_visit(house, told.contact, told.visit.kind) for house in houses))
    outsider.get(told.path)
    with django_assert_num_queries(3):
        outsider.get(told.path)


def test_days_are_suggested_when_the_form_is_filled_in(outsider, told):
    days = {"day_1": "2027-01-20", "half_1": "pm", "day_3": "2027-01-21", "half_3": "am"}
    assert answer(outsider, told, answer="suggested", note="Van", **days).status_code == 303
    page = outsider.get(told.path).content.decode()
    assert "You suggest <strong>Wed 20 January, from midday</strong> or <strong>Thu 21 January, from the morning</strong>" in page
    assert "you suggest other days" in page


@pytest.mark.parametrize(
    "days, words",
    [
        ({}, "Give at least one day you could come."),
        ({"day_1": "2027-01-12"}, "Tue 12 January is too soon"),
        ({"day_2": "soon"}, "Enter a valid date"),
        ({"day_1": "2027-01-20", "half_1": "night"}, "Select a valid choice"),
    ],
)
def test_form_comes_back_open_with_the_fault_when_days_are_bad(outsider, told, days, words):
    page = answer(outsider, told, answer="suggested", **days)
    assert (page.status_code, state()) == (422, "asked")
    assert words in page.content.decode()
    assert page.content.decode().count("<details open>") == 1


def test_new_date_is_shown_when_days_are_suggested_to_an_old_one(outsider, told):
    old = answer_key(told.link, told.date)
    issue_next(told, NEXT_FRIDAY, LATER)
    page = answer(outsider, told, key=old, answer="suggested", day_1="2027-01-20")
    assert (page.status_code, state()) == (409, "asked")
    assert "This date changed meanwhile: it is Fri 22 January, all day now." in page.content.decode()

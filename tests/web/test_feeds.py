from datetime import date, datetime, timedelta

import pytest
import recurring_ical_events
from django.test import Client
from django.utils import timezone
from icalendar import Calendar

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import make_link, revoke_link, rotate_link
from jobs.core.stages import Half
from jobs.models import Booking, CalendarEntry, Firm, Plan, SecretLink
from tests.factories import (
    NOW,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
)
from tests.told import make_told

pytestmark = pytest.mark.django_db

Purpose = SecretLink.Purpose
WEDNESDAY = date(2027, 1, 13)


@pytest.fixture(autouse=True)
def _clock(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def plan() -> Plan:
    plan = make_plan(make_firm(), Plan.State.ISSUED)
    asha = make_person(plan.firm, "Asha, electrician")
    package = make_package(make_area(make_job(plan.firm, "Mill Row")))
    book(plan, asha, package, WEDNESDAY, *Half)
    book(plan, asha, package, WEDNESDAY + timedelta(days=1), Half.AFTERNOON)
    renew_entries(plan=plan, now=NOW)
    return plan


@pytest.fixture
def office(plan):
    return make_office(plan.firm)


def book(plan: Plan, person, package, on: date, *halves: str) -> None:
    for half in halves:
        Booking.objects.create(firm=plan.firm, plan=plan, person=person, package=package, on=on, half=half, hours=4)


@pytest.fixture
def path(plan, office) -> str:
    person = plan.bookings.first().person
    _, token = make_link(purpose=Purpose.PERSON_FEED, person=person, by=office, now=NOW)
    return f"/calendar/{token}.ics"


def summaries(response) -> list[str]:
    return [str(event["SUMMARY"]) for event in Calendar.from_ical(response.content).walk("VEVENT")]


def test_feed_shows_each_working_day_when_subscribed_to(client, path):
    response = client.get(path)
    expanded = recurring_ical_events.of(Calendar.from_ical(response.content)).between(date(2027, 1, 1), date(2027, 2, 1))
    hours = [(event.start.strftime("%d %H:%M"), event.end.strftime("%H:%M")) for event in expanded]
    assert sorted(hours) == [("13 08:00", "16:30"), ("14 12:30", "16:30")]


def test_feed_says_what_it_is_when_fetched(client, path):
    response = client.get(path)
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    assert str(Calendar.from_ical(response.content)["X-WR-CALNAME"]).startswith("Asha")


def test_feed_keeps_itself_private_when_fetched(client, path):
    response = client.get(path)
    assert response["Cache-Control"] == "private, no-cache"
    assert (response["Referrer-Policy"], response["X-Robots-Tag"]) == ("no-referrer", "noindex, nofollow")
    assert not response.cookies


def test_head_answers_like_get_without_a_body_when_asked(client, path):
    response = client.head(path)
    assert (response.status_code, response["ETag"], response.content) == (200, client.get(path)["ETag"], b"")


def test_unchanged_feed_is_not_sent_again_when_the_reader_has_it(client, path):
    etag = client.get(path)["ETag"]
    response = client.get(path, headers={"If-None-Match": etag})
    assert (response.status_code, response.content, response["ETag"]) == (304, b"", etag)
    assert response["Cache-Control"] == "private, no-cache"


def test_unchanged_feed_takes_one_query_when_the_reader_has_it(client, path, django_assert_num_queries):
    etag = client.get(path)["ETag"]
    with django_assert_num_queries(1):
        client.get(path, headers={"If-None-Match": etag})


def test_feed_takes_two_queries_when_sent_whole(client, path, django_assert_num_queries):
    client.get(path)
    with django_assert_num_queries(2):
        client.get(path)


def test_feed_is_the_same_to_the_byte_when_nothing_changed(client, path):
    assert client.get(path).content == client.get(path).content


def test_feed_is_sent_again_when_an_entry_is_gone(client, path, plan):
    etag = client.get(path)["ETag"]
    plan.bookings.first().delete()
    renew_entries(plan=plan, now=NOW + timedelta(seconds=1))
    assert client.get(path, headers={"If-None-Match": etag}).status_code == 200


def test_feed_is_sent_again_when_the_window_moves_on(client, path, monkeypatch):
    etag = client.get(path)["ETag"]
    monkeypatch.setattr(timezone, "now", lambda: NOW + timedelta(days=1))
    assert client.get(path, headers={"If-None-Match": etag}).status_code == 200


def test_feed_is_sent_again_when_its_name_changes(client, path):
    etag = client.get(path)["ETag"]
    Firm.objects.update(name="Hazel & Daughters")
    assert client.get(path, headers={"If-None-Match": etag}).status_code == 200


def test_entries_outside_the_window_are_left_out_when_fetched(client, path):
    CalendarEntry.objects.filter(starts_at__day=13).update(
        starts_at=NOW - timedelta(days=70), ends_at=NOW - timedelta(days=69)
    )
    CalendarEntry.objects.filter(starts_at__day=14).update(
        starts_at=NOW + timedelta(days=600), ends_at=NOW + timedelta(days=601)
    )
    assert summaries(client.get(path)) == []


def test_dropped_entries_are_left_out_when_fetched(client, path):
    CalendarEntry.objects.update(is_gone=True)
    assert summaries(client.get(path)) == []


def test_post_is_refused_when_tried(client, path):
    assert client.post(path).status_code == 405


@pytest.mark.parametrize("token", ["unknown", "a" * 43, "%00"])
def test_unknown_address_is_not_found_when_opened(client, token):
    response = client.get(f"/calendar/{token}.ics")
    assert (response.status_code, response["Referrer-Policy"]) == (404, "no-referrer")


def test_old_address_is_not_found_when_renewed(client, path, office):
    rotate_link(link=SecretLink.objects.get(), by=office, now=NOW)
    assert client.get(path).status_code == 404


def test_address_is_not_found_when_switched_off(client, path, office):
    revoke_link(link=SecretLink.objects.get(), by=office, now=NOW)
    assert client.get(path).status_code == 404


def test_signing_in_is_not_needed_when_a_calendar_reads(path):
    assert Client(enforce_csrf_checks=True).get(path).status_code == 200


def test_last_reading_is_kept_when_fetched(client, path):
    client.get(path)
    assert SecretLink.objects.get().last_used_at == NOW


def test_job_feed_shows_crew_and_trades_without_taking_time_when_fetched(client, plan, office):
    told = make_told(plan.firm)
    _, token = make_link(purpose=Purpose.JOB_FEED, job=told.visit.job, by=office, now=NOW)
    response = client.get(f"/calendar/{token}.ics")
    assert summaries(response) == ["Plastering, Mill Row Pat"]
    assert b"TRANSP:TRANSPARENT" in response.content


def test_trade_feed_shows_only_its_own_dates_when_fetched(client, plan, office):
    told, _ = make_told(plan.firm), make_told(plan.firm, name="Quinn")
    _, token = make_link(purpose=Purpose.TRADE_FEED, contact=told.contact, by=office, now=NOW)
    assert summaries(client.get(f"/calendar/{token}.ics")) == ["Plastering, Mill Row Pat"]


def test_trade_feed_is_silent_about_dates_not_told_when_a_visit_changes_hands(client, plan, office):
    told = make_told(plan.firm)
    other = make_contact(plan.firm, name="Quinn")
    told.visit.contact = other
    told.visit.save()
    _, token = make_link(purpose=Purpose.TRADE_FEED, contact=other, by=office, now=NOW)
    assert summaries(client.get(f"/calendar/{token}.ics")) == []


def test_other_firms_entries_never_show_when_fetched(client, path):
    make_told(make_firm("Other"))
    assert all("Plastering" not in summary for summary in summaries(client.get(path)))


def test_robots_may_look_when_a_calendar_service_asks(client):
    assert client.get("/robots.txt").content == b"User-agent: *\nDisallow:\n"


def test_feed_agrees_with_the_database_when_all_day_spans_cross_the_clock_change(client, plan, office):
    told = make_told(plan.firm)
    span = plan.spans.get(visit=told.visit)
    span.starts_on, span.ends_on = date(2027, 3, 25), date(2027, 3, 31)
    span.save()
    renew_entries(plan=plan, now=NOW)
    _, token = make_link(purpose=Purpose.JOB_FEED, job=told.visit.job, by=office, now=NOW)
    events = Calendar.from_ical(client.get(f"/calendar/{token}.ics").content).walk("VEVENT")
    assert [(event.start, event.end) for event in events] == [
        (date(2027, 3, 25), date(2027, 3, 26)), (date(2027, 3, 30), date(2027, 4, 1))
    ]
    assert not any(isinstance(event.start, datetime) for event in events)

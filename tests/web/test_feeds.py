import gzip
from datetime import date, datetime, time, timedelta

import pytest
import recurring_ical_events
from django.core.cache import cache
from django.test import Client
from django.utils import timezone
from icalendar import Calendar

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.firms import edit_firm
from jobs.actions.links import choose_options, make_link, revoke_link, rotate_link
from jobs.actions.people import add_absence, add_college_day, edit_person
from jobs.core.stages import Half
from jobs.models import Booking, CalendarEntry, Firm, Plan, RoomTask, SecretLink
from jobs.web.feed_limit import MOST_FETCHES
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_room,
)
from tests.told import make_told

pytestmark = pytest.mark.django_db

Purpose = SecretLink.Purpose
WEDNESDAY = date(2027, 1, 13)


@pytest.fixture(autouse=True)
def _clock(monkeypatch):
    cache.clear()
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


def test_feed_takes_one_query_when_it_was_made_before(client, path, django_assert_num_queries):
    client.get(path)
    with django_assert_num_queries(1):
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


def feed_of(plan: Plan, office, purpose: str, **options: object) -> str:
    whose = {"person": plan.bookings.first().person} if purpose == Purpose.PERSON_FEED else {}
    link, token = make_link(purpose=purpose, by=office, now=NOW, **whose)
    choose_options(link=link, **({"shows_days_away": False, "alarm_minutes": None} | options), by=office)
    return f"/calendar/{token}.ics"


def test_firm_feed_says_whose_day_it_is_when_fetched(client, plan, office):
    make_told(plan.firm)
    shown = summaries(client.get(feed_of(plan, office, Purpose.FIRM_FEED)))
    assert [words.split(":")[0] for words in shown] == ["Asha, electrician", "Asha, electrician", "Plastering, Mill Row Pat"]


def test_firm_feed_holds_nothing_of_another_firm_when_fetched(client, plan, office):
    make_told(make_firm("Other"))
    assert all("Plastering" not in words for words in summaries(client.get(feed_of(plan, office, Purpose.FIRM_FEED))))


@pytest.fixture
def away(plan, office) -> None:
    asha = plan.bookings.first().person
    monday = date(2027, 1, 18)
    add = {"person": asha, "by": office, "now": NOW}
    add_absence(kind="holiday", starts_on=monday, ends_on=monday + timedelta(days=4), **add)
    add_absence(kind="sick", starts_on=TODAY, ends_on=TODAY, part="pm", **add)
    add_college_day(weekday=0, starts_on=date(2027, 2, 1), ends_on=date(2027, 2, 9), **add)


def test_days_away_are_shown_when_the_link_asks_for_them(client, plan, office, away):
    shown = events(client.get(feed_of(plan, office, Purpose.PERSON_FEED, shows_days_away=True)))
    assert shown["Holiday"] == [(date(2027, 1, 18), date(2027, 1, 23))]
    assert [str(start) for start, _ in shown["Away"]] == ["2027-01-12 12:30:00+00:00"]
    assert [start for start, _ in shown["College"]] == [date(2027, 2, 1), date(2027, 2, 8)]


def test_days_away_are_left_out_when_the_link_does_not_ask(client, plan, office, away):
    assert not {"Holiday", "Away", "College"} & set(summaries(client.get(feed_of(plan, office, Purpose.PERSON_FEED))))


def test_days_away_name_the_person_when_the_whole_firm_is_shown(client, plan, office, away):
    assert "Asha, electrician: Away" in summaries(client.get(feed_of(plan, office, Purpose.FIRM_FEED, shows_days_away=True)))


def test_feed_is_sent_again_when_somebody_is_away(client, plan, office):
    path = feed_of(plan, office, Purpose.PERSON_FEED, shows_days_away=True)
    etag = client.get(path)["ETag"]
    add_absence(
        person=plan.bookings.first().person, kind="holiday", starts_on=TODAY, ends_on=TODAY, by=office, now=NOW
    )
    response = client.get(path, headers={"If-None-Match": etag})
    assert (response.status_code, "Holiday" in summaries(response)) == (200, True)


def test_each_event_reminds_when_the_link_asks_for_it(client, plan, office):
    path = feed_of(plan, office, Purpose.PERSON_FEED, alarm_minutes=60)
    alarms = Calendar.from_ical(client.get(path).content).walk("VALARM")
    assert [alarm["TRIGGER"].dt for alarm in alarms] == [timedelta(hours=-1)] * 2


def test_feed_is_sent_again_when_its_options_change(client, plan, office):
    etag = client.get(feed_of(plan, office, Purpose.PERSON_FEED))["ETag"]
    path = feed_of(plan, office, Purpose.PERSON_FEED, alarm_minutes=15)
    assert client.get(path, headers={"If-None-Match": etag}).status_code == 200


def test_kept_feed_is_not_sent_when_the_person_has_another_name(client, plan, office):
    asha, path = plan.bookings.first().person, feed_of(plan, office, Purpose.FIRM_FEED)
    etag = client.get(path)["ETag"]
    edit_person(person=asha, details={"name": "Aisha"}, by=office, now=NOW)
    response = client.get(path, headers={"If-None-Match": etag})
    assert {words.split(":")[0] for words in summaries(response)} == {"Aisha"}


def test_kept_feed_is_not_sent_when_afternoons_begin_later(client, plan, office, away):
    path = feed_of(plan, office, Purpose.PERSON_FEED, shows_days_away=True)
    etag = client.get(path)["ETag"]
    edit_firm(firm=plan.firm, details={"afternoon_starts": time(13)}, by=office)
    shown = events(client.get(path, headers={"If-None-Match": etag}))
    assert [str(start) for start, _ in shown["Away"]] == ["2027-01-12 13:00:00+00:00"]


@pytest.mark.parametrize(("purpose", "is_offered"), [(Purpose.FIRM_FEED, True), (Purpose.PERSON_FEED, False)])
def test_calendar_says_what_waits_when_the_office_chose_it_for_whole_jobs(client, plan, office, purpose, is_offered):
    feed_of(plan, office, purpose)
    client.force_login(office, backend="django.contrib.auth.backends.ModelBackend")
    link = SecretLink.objects.get()
    client.post(f"/trades/links/{link.pk}/options/", {"shows_order": "on", "alarm_minutes": ""})
    link.refresh_from_db()
    assert link.shows_order == is_offered


def test_feed_is_compressed_when_the_reader_can_take_it(client, path):
    plain = client.get(path)
    packed = client.get(path, headers={"Accept-Encoding": "gzip"})
    assert (packed["Content-Encoding"], gzip.decompress(packed.content)) == ("gzip", plain.content)
    assert client.get(path, headers={"Accept-Encoding": "gzip", "If-None-Match": packed["ETag"]}).status_code == 304


def test_reader_is_told_when_to_come_back_when_it_asks_too_often(client, path, django_assert_num_queries):
    for _ in range(MOST_FETCHES):
        assert client.get(path).status_code == 200
    with django_assert_num_queries(0):
        response = client.get(path)
    assert (response.status_code, response["Retry-After"]) == (429, "600")
    assert response["Referrer-Policy"] == "no-referrer"


def test_limit_is_each_links_own_when_another_is_fetched_too_often(client, path, plan, office):
    for _ in range(MOST_FETCHES + 1):
        client.get("/calendar/elsewhere.ics")
    assert client.get(path).status_code == 200


def test_rooms_and_site_notes_are_in_the_event_when_the_crew_reads_it(client, path, plan):
    package = plan.bookings.first().package
    package.job.access_notes = "Key under the pot"
    package.job.save()
    for name in ("Kitchen", "Hall"):
        RoomTask.objects.create(
            firm=plan.firm, package=package, room=make_room(package.area, name), code="sockets", text="Sockets"
        )
    renew_entries(plan=plan, now=NOW + timedelta(hours=1))
    text = str(next(iter(Calendar.from_ical(client.get(path).content).walk("VEVENT")))["DESCRIPTION"])
    assert "Rooms: Kitchen, Hall." in text
    assert text.endswith("Key under the pot")


def events(response) -> dict[str, list[tuple]]:
    found: dict[str, list[tuple]] = {}
    for event in Calendar.from_ical(response.content).walk("VEVENT"):
        found.setdefault(str(event["SUMMARY"]), []).append((event.start, event.end))
    return found

"""Morning messages and evening summaries: who gets one, when, once, and what it says."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from jobs import outbox
from jobs.actions import day_messages
from jobs.models import Absence, Booking, DayMessage, OutboxEntry, Span, WorkedHours
from jobs.queries.day_messages import load_evening, load_morning
from tests.factories import (
    TODAY,
    make_area,
    make_item,
    make_job,
    make_location,
    make_move,
    make_package,
    make_person,
    make_plan,
    make_room,
    make_visit,
    make_visit_kind,
)

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")


def at(hour: int, minute: int = 0, on: date = TODAY) -> datetime:
    return datetime.combine(on, time(hour, minute), LONDON)


MORNING, EVENING = at(6, 30), at(17)


@pytest.fixture
def plan(firm):
    return make_plan(firm, "issued")


@pytest.fixture
def package(firm):
    area = make_area(make_job(firm, "Mill Row", state="on_site", address="3 Mill Row"), "Upstairs")
    package = make_package(area, "strip_out")
    package.tasks.create(firm=firm, room=make_room(area, "Back bedroom"), code="S1", text="Strip", labour_hours=4)
    return package


@pytest.fixture
def person(firm):
    return make_person(firm, "Marta Quill", email="marta@crew.example")


def book(plan, package, person, on=TODAY, half="am", hours=4) -> Booking:
    return Booking.objects.create(
        firm=plan.firm, plan=plan, person=person, package=package, on=on, half=half, hours=hours
    )


def send(now=MORNING) -> list[str]:
    """Asks and sends what is due; the subjects that left."""
    day_messages.ask_for_messages(now=now)
    for entry in OutboxEntry.objects.filter(state="waiting"):
        outbox.run_entry(entry.pk, clock=lambda: now)
    return list(DayMessage.objects.order_by("pk").values_list("subject", flat=True))


@pytest.fixture(autouse=True)
def _fixed_clock(monkeypatch):
    """The tasks read the clock; here it stands at the moment asked for last."""
    asked = day_messages.ask_for_messages

    def ask(*, now: datetime) -> None:
        monkeypatch.setattr("jobs.tasks.timezone.now", lambda: now)
        asked(now=now)

    monkeypatch.setattr(day_messages, "ask_for_messages", ask)


def test_message_leaves_at_the_hour_when_somebody_is_booked(plan, package, person, mailoutbox):
    book(plan, package, person)
    assert send() == ["Tue 12 January: Mill Row"]
    assert [mail.to for mail in mailoutbox] == [["marta@crew.example"]]
    assert "Back bedroom" in mailoutbox[0].body


@pytest.mark.parametrize("now", [at(6, 29), at(9, 30), at(0)])
def test_nothing_leaves_when_it_is_not_the_hour(plan, package, person, now, mailoutbox):
    book(plan, package, person)
    send(now)
    assert mailoutbox == []


def test_message_leaves_once_when_the_schedule_runs_again_and_the_outbox_forgot(plan, package, person, mailoutbox):
    book(plan, package, person)
    send()
    send(at(6, 45))
    OutboxEntry.objects.all().delete()
    send(at(7))
    assert len(mailoutbox) == 1


@pytest.mark.parametrize(
    "change", [{"email": ""}, {"wants_morning_message": False}, {"is_active": False}], ids=["no address", "not wanted", "left"]
)
def test_nothing_leaves_when_somebody_cannot_or_will_not_have_it(plan, package, person, change, mailoutbox):
    book(plan, package, person)
    type(person).objects.filter(pk=person.pk).update(**change)
    send()
    assert mailoutbox == []


def test_nothing_leaves_when_nobody_is_booked(plan, package, person, mailoutbox):
    book(plan, package, person, on=TODAY + timedelta(days=1))
    send()
    assert mailoutbox == []


def test_nothing_leaves_when_the_firm_rests(plan, package, person, mailoutbox):
    saturday = TODAY + timedelta(days=4)
    book(plan, package, person, on=saturday)
    send(at(6, 30, saturday))
    assert mailoutbox == []


def test_nothing_is_said_when_the_person_is_away_after_all(plan, package, person):
    book(plan, package, person)
    Absence.objects.create(firm=plan.firm, person=person, kind="sick", starts_on=TODAY, ends_on=TODAY, part="am")
    assert load_morning(person, TODAY, MORNING) is None


def test_hour_is_the_firms_own_when_clocks_are_in_summer_time(plan, package, person, mailoutbox):
    in_june = date(2027, 6, 8)
    book(plan, package, person, on=in_june)
    send(datetime(2027, 6, 8, 5, 30, tzinfo=ZoneInfo("UTC")))
    assert len(mailoutbox) == 1


def test_message_says_where_with_whom_what_to_load_and_what_to_beware_of(firm, plan, package, person):
    book(plan, package, person)
    book(plan, package, make_person(firm, "Jory Penn"), half="pm", hours=2)
    plumber = make_visit(package.job, kind=make_visit_kind(firm, "pipes", trade="plumber", name="Pipes in the floor"))
    Span.objects.create(
        firm=firm, plan=plan, visit=plumber, starts_on=TODAY, starts_half="am", ends_on=TODAY, ends_half="pm"
    )
    unit, shop = make_location(firm, name="The unit"), make_location(firm, "supplier", "Counter")
    item = make_item(firm, "plug", name="Rubber plug")
    make_move(item, shop, unit, 10)
    package.needs.create(firm=firm, item=item, quantity=6)
    text = day_messages.morning_text(load_morning(person, TODAY, MORNING))
    for words in (
        "3 Mill Row", "Strip-out, Upstairs, morning: Back bedroom", "Jory Penn, afternoon", "Pipes in the floor",
        "Safe isolation:", "Asbestos:", "6 x Rubber plug, from The unit",
    ):
        assert words in text


def test_message_id_is_the_same_when_it_is_tried_twice(plan, package, person, mailoutbox):
    book(plan, package, person)
    for _ in range(2):
        day_messages.send_morning(person_pk=person.pk, on=TODAY, now=MORNING)
    first, second = (mail.extra_headers["Message-ID"] for mail in mailoutbox)
    assert first == second


def test_summary_sets_done_against_planned_when_the_day_is_over(firm, plan, package, person, mailoutbox):
    book(plan, package, person)
    package.tasks.update(done_share=1, done_at=at(11))
    WorkedHours.objects.create(firm=firm, package=package, person=person, on=TODAY, hours=Decimal("4.5"), said_at=at(12))
    send(EVENING)
    assert mailoutbox[0].to == [firm.email]
    assert "planned 4 h, 4.5 h said, 1 line ticked, now 100 % done" in mailoutbox[0].body


def test_summary_names_ends_that_move_when_a_draft_differs(firm, plan, package):
    held = {"firm": firm, "package": package, "starts_on": TODAY, "starts_half": "am", "ends_half": "pm"}
    Span.objects.create(plan=plan, ends_on=TODAY, **held)
    Span.objects.create(plan=make_plan(firm), ends_on=TODAY + timedelta(days=2), **held)
    text = day_messages.evening_text(load_evening(firm, TODAY, EVENING))
    assert "Mill Row: ends Thu 14 Jan in the draft instead of Tue 12 Jan" in text


def test_summary_names_what_to_order_before_the_cut_off(firm, plan, package, person):
    tomorrow = TODAY + timedelta(days=1)
    book(plan, package, person, on=tomorrow)
    Span.objects.create(
        firm=firm, plan=plan, package=package, starts_on=tomorrow, starts_half="am", ends_on=tomorrow, ends_half="pm"
    )
    package.needs.create(firm=firm, item=make_item(firm, "plug", name="Rubber plug"), quantity=6)
    text = day_messages.evening_text(load_evening(firm, TODAY, EVENING))
    assert "6 x Rubber plug for Strip-out, Upstairs, Mill Row" in text


@pytest.mark.parametrize("change", [{"email": ""}, {"wants_evening_summary": False}])
def test_no_summary_leaves_when_the_firm_cannot_or_will_not_have_it(firm, plan, package, person, change, mailoutbox):
    book(plan, package, person)
    type(firm).objects.filter(pk=firm.pk).update(**change)
    send(EVENING)
    assert mailoutbox == []


def test_no_summary_leaves_when_there_is_nothing_to_say(firm, plan, mailoutbox):
    assert load_evening(firm, TODAY, EVENING) is None
    send(EVENING)
    assert mailoutbox == []

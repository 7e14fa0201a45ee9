from datetime import timedelta

import pytest

from jobs.actions.held_back import hold_back, let_go, tell_held_back
from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.actions.permission import Refused
from jobs.core.stages import Half
from jobs.models import Booking, CalendarEntry, Firm, HeldBack, Notice, Plan, SecretLink, Span
from jobs.queries.feeds import load_events
from jobs.queries.held_back import load_untold
from tests.factories import NOW, TODAY, make_area, make_package, make_person, make_plan
from tests.told import FRIDAY, NEXT_FRIDAY, Told

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=1)


def draft_on(told: Told, starts_on, *, made_at=LATER) -> Plan:
    draft = make_plan(told.firm, Plan.State.DRAFT, made_at=made_at)
    Span.objects.create(
        firm=told.firm, plan=draft, visit=told.visit, starts_on=starts_on, starts_half=Half.MORNING, ends_on=starts_on,
        ends_half=Half.AFTERNOON,
    )
    return draft


def hold(told: Told, draft: Plan, reason: str = "Ring them first") -> HeldBack:
    return hold_back(plan=draft, recipient=told.contact, reason=reason, by=told.office, now=LATER)


def issue(told: Told, draft: Plan) -> None:
    issue_plan(plan=draft, version=draft.version, by=told.office, now=LATER)


@pytest.fixture
def held(told) -> HeldBack:
    """Their date moves a week, and they are not told."""
    draft = draft_on(told, NEXT_FRIDAY)
    row = hold(told, draft)
    issue(told, draft)
    return row


def shown_to_trade(told: Told) -> list[tuple]:
    feed, _ = make_link(purpose=SecretLink.Purpose.TRADE_FEED, contact=told.contact, by=told.office, now=NOW)
    feed.firm = Firm.objects.get()
    return [(event.starts, event.sequence, event.description) for event in load_events(feed, TODAY)]


def test_nobody_is_told_when_their_message_is_held_back(told, held):
    assert not Notice.objects.filter(plan=held.plan).exists()
    assert told.date.starts_on == FRIDAY


def test_visit_stays_as_it_was_when_its_message_is_held_back(told, held):
    told.visit.refresh_from_db()
    assert told.visit.starts_on == FRIDAY


def test_their_calendar_shows_what_they_were_told_when_the_plan_says_otherwise(told, held):
    ((starts, _, description),) = shown_to_trade(told)
    assert starts.date() == FRIDAY if hasattr(starts, "date") else starts == FRIDAY
    assert "22 January" not in description


def test_our_own_calendar_shows_the_plan_when_their_message_is_held_back(told, held):
    assert CalendarEntry.objects.get(visit=told.visit).starts_at.date() == NEXT_FRIDAY


def test_held_back_message_is_listed_when_the_plan_is_issued(told, held):
    (untold,) = load_untold(told.firm, LATER)
    assert (untold.held, untold.held.reason) == (held, "Ring them first")
    assert "Now: Fri 22 January" in untold.letter.tellings[0].line


def test_they_hear_it_once_when_they_are_told_after_all(told, held):
    notice = tell_held_back(held=held, by=told.office, now=LATER + timedelta(hours=1))
    assert (notice.plan, notice.kind, told.date.starts_on) == (held.plan, "changed", NEXT_FRIDAY)
    assert load_untold(told.firm, LATER) == []
    with pytest.raises(Refused, match="nothing left"):
        tell_held_back(held=held, by=told.office, now=LATER + timedelta(hours=2))


def test_their_calendar_takes_the_new_date_when_they_are_told_after_all(told, held):
    ((_, before, _),) = shown_to_trade(told)
    version = Firm.objects.get().calendar_version
    tell_held_back(held=held, by=told.office, now=LATER + timedelta(hours=1))
    ((starts, after, _),) = shown_to_trade(told)
    assert (str(starts)[:10], after > before) == ("2027-01-22", True)
    assert Firm.objects.get().calendar_version > version


def test_they_hear_it_with_the_next_plan_when_nobody_told_them_before(told, held):
    ((_, before, _),) = shown_to_trade(told)
    issue(told, draft_on(told, NEXT_FRIDAY))
    ((starts, after, _),) = shown_to_trade(told)
    assert (told.date.starts_on, str(starts)[:10], after > before) == (NEXT_FRIDAY, "2027-01-22", True)


def test_they_are_told_with_the_others_when_the_message_is_let_go(told):
    draft = draft_on(told, NEXT_FRIDAY)
    let_go(held=hold(told, draft), by=told.office)
    issue(told, draft)
    assert told.date.starts_on == NEXT_FRIDAY


def draft_with_crew(told: Told) -> Plan:
    """It books Asha for the next day."""
    draft, package = draft_on(told, FRIDAY), make_package(make_area(told.visit.job))
    Booking.objects.create(
        firm=told.firm, plan=draft, package=package, person=make_person(told.firm, "Asha"), on=TODAY + timedelta(days=1),
        half=Half.MORNING, hours=4,
    )
    return draft


@pytest.fixture
def booked(told) -> Plan:
    return draft_with_crew(told)


def hold_crew(told: Told, draft: Plan) -> HeldBack:
    person = draft.bookings.get().person
    return hold_back(plan=draft, recipient=person, reason="Ring her", by=told.office, now=LATER)


def test_one_of_the_crew_is_not_told_when_their_message_is_held_back(told, booked):
    held = hold_crew(told, booked)
    issue(told, booked)
    assert not Notice.objects.filter(person=held.person).exists()
    assert CalendarEntry.objects.filter(person=held.person).count() == 1


def test_crew_hear_it_once_when_they_are_told_after_all(told, booked):
    held = hold_crew(told, booked)
    issue(told, booked)
    assert [each.held for each in load_untold(told.firm, LATER)] == [held]
    notice = tell_held_back(held=held, by=told.office, now=LATER + timedelta(hours=1))
    assert (notice.person, "Wed 13 January" in notice.lines[0]) == (held.person, True)
    assert load_untold(told.firm, LATER) == []


def test_crew_hear_it_with_the_next_plan_when_nobody_told_them_before(told, booked):
    held = hold_crew(told, booked)
    issue(told, booked)
    following = draft_on(told, FRIDAY)
    booked.bookings.update(plan=following)
    issue(told, following)
    assert Notice.objects.get(person=held.person).plan == following


def test_nothing_is_held_back_when_no_reason_is_given(told):
    with pytest.raises(Refused, match="Say why"):
        hold(told, draft_on(told, NEXT_FRIDAY), reason=" ")


def test_nothing_is_held_back_twice(told):
    draft = draft_on(told, NEXT_FRIDAY)
    hold(told, draft)
    with pytest.raises(Refused, match="already"):
        hold(told, draft)


def test_nothing_is_held_back_or_let_go_when_the_plan_is_issued(told, held):
    with pytest.raises(Refused, match="issued already"):
        hold_back(plan=held.plan, recipient=told.contact, reason="Late", by=told.office, now=LATER)
    with pytest.raises(Refused, match="Tell them now"):
        let_go(held=held, by=told.office)

"""Trades suggest other days; the office takes one; the planner and the calendars follow."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.permission import Refused
from jobs.actions.visits import (
    StaleAnswer,
    accept_suggestion,
    accept_visit,
    decline_visit,
    record_answer,
    suggest_days,
    turn_down_suggestions,
)
from jobs.models import Invitation, Notice, SuggestedDay, ToldDate, Visit
from jobs.queries.planning_work import load_suggested
from jobs.queries.suggestions import list_suggested
from tests.factories import NOW, TODAY, make_firm, make_office
from tests.told import NEXT_FRIDAY, Told, issue_next

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=2)
TUESDAY = date(2027, 1, 19)
DAYS = [(TUESDAY, "pm"), (NEXT_FRIDAY, "am")]


def suggest(told: Told, days=DAYS, note: str = "Away") -> Visit:
    return suggest_days(told=told.date, link=told.link, days=days, note=note, now=LATER)


def test_days_are_kept_with_the_told_date_when_suggested(told):
    visit = suggest(told)
    assert (visit.state, visit.answer_note, told.date.answer) == ("declined", "Away", "suggested")
    assert list(told.date.suggested_days.values_list("on", "half")) == DAYS


def test_last_days_stand_when_suggested_again(told):
    suggest(told)
    suggest(told, [(TUESDAY, "am")])
    assert [(day.on, day.half) for day in list_suggested(Visit.objects.get())] == [(TUESDAY, "am")]


def test_nothing_changes_when_the_same_is_suggested_twice(told):
    suggest(told)
    first = list(SuggestedDay.objects.values_list("pk", flat=True))
    suggest(told)
    assert list(SuggestedDay.objects.values_list("pk", flat=True)) == first


@pytest.mark.parametrize(
    "days", [[], [(TODAY, "am")], [(TUESDAY + timedelta(days=number), "am") for number in range(4)]],
    ids=["none", "today", "four"],
)
def test_days_are_refused_when_none_too_soon_or_too_many(told, days):
    with pytest.raises(Refused):
        suggest(told, days)
    assert not SuggestedDay.objects.exists()


def test_suggestion_is_stale_when_the_date_moved_since(told):
    old = told.date
    issue_next(told, NEXT_FRIDAY, LATER)
    with pytest.raises(StaleAnswer, match="it is Fri 22 January, all day now"):
        suggest_days(told=old, link=told.link, days=DAYS, now=LATER)


@pytest.mark.parametrize("answer", [accept_visit, decline_visit])
def test_days_are_withdrawn_when_they_answer_otherwise(told, answer):
    suggest(told)
    answer(told=told.date, link=told.link, now=LATER)
    assert list_suggested(Visit.objects.get()) == []


def test_date_leaves_their_calendar_when_they_suggest_others(told):
    suggest(told)
    invitation = Invitation.objects.get()
    assert (invitation.is_gone, invitation.messages.last().method) == (True, "CANCEL")


def test_office_writes_days_down_when_they_are_said_by_phone(told):
    record_answer(told=told.date, answer="suggested", days=DAYS, by=told.office, now=LATER)
    assert SuggestedDay.objects.count() == 2


def test_visit_is_agreed_when_the_office_accepts_a_day(told):
    suggest(told)
    visit = accept_suggestion(day=SuggestedDay.objects.first(), by=told.office, now=LATER)
    assert (visit.state, visit.starts_on, visit.starts_half) == ("accepted", TUESDAY, "pm")


def test_another_firms_office_is_refused_when_it_accepts(told):
    suggest(told)
    with pytest.raises(PermissionDenied):
        accept_suggestion(day=SuggestedDay.objects.first(), by=make_office(make_firm("Other")), now=LATER)


def test_day_is_refused_when_they_meanwhile_answered_otherwise(told):
    suggest(told)
    day = SuggestedDay.objects.first()
    Visit.objects.update(state="accepted")
    with pytest.raises(Refused, match="no longer suggest"):
        accept_suggestion(day=day, by=told.office, now=LATER)


def test_they_are_told_as_agreed_and_not_asked_again_when_the_plan_is_issued(told):
    suggest(told, [(NEXT_FRIDAY, "am")])
    accept_suggestion(day=SuggestedDay.objects.get(), by=told.office, now=LATER)
    issue_next(told, NEXT_FRIDAY, LATER)
    line = Notice.objects.latest("pk").lines[0]
    assert "Now: Fri 22 January, all day. As agreed with you." in line
    assert (Visit.objects.get().state, ToldDate.objects.latest("pk").answer) == ("accepted", "accepted")


def test_their_calendar_shows_it_as_agreed_under_a_new_identity_when_the_plan_is_issued(told):
    suggest(told, [(NEXT_FRIDAY, "am")])
    accept_suggestion(day=SuggestedDay.objects.get(), by=told.office, now=LATER)
    issue_next(told, NEXT_FRIDAY, LATER)
    gone, standing = Invitation.objects.order_by("pk")
    assert (gone.is_gone, standing.is_gone, gone.uid != standing.uid) == (True, False, True)
    assert not standing.messages.get().is_tentative


def test_they_are_told_in_words_when_their_days_are_turned_down(told):
    visit = suggest(told)
    notice = turn_down_suggestions(visit=visit, reason="The floors are up.", by=told.office, now=LATER)
    assert (notice.kind, notice.contact, notice.turns_down) == ("declined", told.contact, None)
    assert "Tue 19 January, from midday; Fri 22 January, from the morning. That does not suit us. The floors are up." in (
        notice.lines[0]
    )


def test_days_stand_no_more_when_they_are_turned_down(told):
    visit = suggest(told)
    (day, _) = list_suggested(visit)
    turn_down_suggestions(visit=visit, by=told.office, now=LATER)
    visit.refresh_from_db()
    assert (list_suggested(visit), visit.state, load_suggested(told.firm)) == ([], "declined", {})
    with pytest.raises(Refused, match="no longer suggest"):
        accept_suggestion(day=day, by=told.office, now=LATER)


def test_nothing_is_turned_down_twice_or_without_days(told):
    visit = suggest(told)
    turn_down_suggestions(visit=visit, by=told.office, now=LATER)
    with pytest.raises(Refused, match="no day"):
        turn_down_suggestions(visit=visit, by=told.office, now=LATER)


def test_they_can_suggest_again_when_their_days_were_turned_down(told):
    turn_down_suggestions(visit=suggest(told), by=told.office, now=LATER)
    assert len(list_suggested(suggest(told))) == 2


def test_nothing_is_turned_down_when_another_firm_asks(told):
    visit = suggest(told)
    with pytest.raises(PermissionDenied):
        turn_down_suggestions(visit=visit, by=make_office(make_firm("Other")), now=LATER)

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.links import revoke_link
from jobs.actions.permission import Refused
from jobs.actions.visits import (
    StaleAnswer,
    accept_visit,
    agree_visit,
    assign_visit,
    cancel_visit,
    decline_visit,
    finish_visit,
    record_answer,
    reopen_visit,
)
from jobs.core.stages import Trade
from jobs.models import CalendarEntry, SecretLink, ToldDate, Visit
from tests.factories import NOW, TODAY, make_contact, make_firm, make_job, make_office, make_visit
from tests.told import FRIDAY, NEXT_FRIDAY, issue_next, make_told

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(hours=2)


def test_visit_is_agreed_on_the_told_date_when_accepted(told):
    visit = accept_visit(told=told.date, link=told.link, now=LATER)
    assert (visit.state, visit.starts_on, visit.answered_at) == (Visit.State.ACCEPTED, FRIDAY, LATER)


def test_answer_is_kept_with_the_told_date_when_given(told):
    accept_visit(told=told.date, link=told.link, now=LATER)
    assert (told.date.answer, told.date.answered_at) == (ToldDate.Answer.ACCEPTED, LATER)


def test_calendar_is_confirmed_when_accepted(told):
    accept_visit(told=told.date, link=told.link, now=LATER)
    assert not CalendarEntry.objects.get().is_tentative


def test_nothing_changes_when_accepted_twice(told):
    accept_visit(told=told.date, link=told.link, now=LATER)
    visit = accept_visit(told=told.date, link=told.link, now=LATER + timedelta(minutes=1))
    assert visit.answered_at == LATER


def test_planner_has_what_it_needs_when_declined(told):
    visit = decline_visit(told=told.date, link=told.link, note="On another site", can_come_on=date(2027, 1, 20), now=LATER)
    assert (visit.state, visit.starts_on, visit.not_before_on) == (Visit.State.DECLINED, FRIDAY, date(2027, 1, 20))
    assert visit.answer_note == "On another site"


def test_declined_date_leaves_the_calendar_when_declined(told):
    decline_visit(told=told.date, link=told.link, now=LATER)
    assert CalendarEntry.objects.get().is_gone


def test_mind_can_be_changed_when_the_date_still_stands(told):
    decline_visit(told=told.date, link=told.link, note="Away", now=LATER)
    visit = accept_visit(told=told.date, link=told.link, now=LATER)
    assert (visit.state, visit.answer_note) == (Visit.State.ACCEPTED, "")


def test_answer_is_stale_when_the_date_has_moved_since(told):
    old = told.date
    issue_next(told, NEXT_FRIDAY, LATER)
    with pytest.raises(StaleAnswer, match="Fri 22 January"):
        accept_visit(told=old, link=told.link, now=LATER)
    assert Visit.objects.get().state == Visit.State.ASKED


def test_answer_is_stale_when_the_visit_was_cancelled(told):
    cancel_visit(visit=told.visit, by=told.office, now=LATER)
    with pytest.raises(StaleAnswer):
        accept_visit(told=told.date, link=told.link, now=LATER)


def test_answer_is_stale_when_the_visit_went_to_somebody_else(told):
    old = told.date
    Visit.objects.update(contact=make_contact(told.firm), state=Visit.State.PENCILLED)
    told.visit.refresh_from_db()
    issue_next(told, NEXT_FRIDAY, LATER)
    with pytest.raises(StaleAnswer, match="no longer planned for you"):
        accept_visit(told=old, link=told.link, now=LATER)


def test_answer_is_stale_when_the_day_is_over(told):
    with pytest.raises(StaleAnswer, match="over"):
        accept_visit(told=told.date, link=told.link, now=NOW + timedelta(days=4))


def test_link_of_another_trade_is_refused_when_it_answers(told):
    other = make_told(told.firm, name="Quinn")
    with pytest.raises(Refused):
        accept_visit(told=told.date, link=other.link, now=LATER)


def test_switched_off_link_is_refused_when_it_answers(told):
    revoke_link(link=told.link, by=told.office, now=NOW)
    with pytest.raises(Refused):
        decline_visit(told=told.date, link=SecretLink.objects.get(pk=told.link.pk), now=LATER)


def test_office_writes_down_an_answer_when_it_came_by_phone(told):
    visit = record_answer(told=told.date, answer=ToldDate.Answer.ACCEPTED, by=told.office, now=LATER)
    assert visit.state == Visit.State.ACCEPTED


def test_other_firm_is_refused_when_it_acts_on_a_visit(told):
    stranger = make_office(make_firm("Other"))
    for act in (
        lambda: record_answer(told=told.date, answer="accepted", by=stranger, now=LATER),
        lambda: assign_visit(visit=told.visit, contact=None, not_before_on=None, by=stranger),
        lambda: finish_visit(visit=told.visit, started_on=TODAY, by=stranger, now=LATER),
        lambda: cancel_visit(visit=told.visit, by=stranger, now=LATER),
        lambda: reopen_visit(visit=told.visit, by=stranger),
    ):
        with pytest.raises(PermissionDenied):
            act()


def test_contact_of_another_firm_is_refused_when_chosen(told):
    with pytest.raises(PermissionDenied):
        assign_visit(visit=told.visit, contact=make_contact(make_firm("Other")), not_before_on=None, by=told.office)


def test_customer_is_refused_when_chosen_for_a_visit(told):
    customer = make_contact(told.firm, Trade.CUSTOMER)
    with pytest.raises(Refused):
        assign_visit(visit=told.visit, contact=customer, not_before_on=None, by=told.office)


def test_answer_is_forgotten_when_somebody_else_is_chosen(told):
    accept_visit(told=told.date, link=told.link, now=LATER)
    visit = assign_visit(visit=told.visit, contact=make_contact(told.firm), not_before_on=None, by=told.office)
    assert (visit.state, visit.starts_on, visit.answered_at) == (Visit.State.PENCILLED, None, None)


def test_answer_stays_when_only_the_earliest_day_changes(told):
    accept_visit(told=told.date, link=told.link, now=LATER)
    visit = assign_visit(visit=told.visit, contact=told.contact, not_before_on=FRIDAY, by=told.office)
    assert (visit.state, visit.not_before_on) == (Visit.State.ACCEPTED, FRIDAY)


def test_visit_is_done_when_it_took_place(told):
    visit = finish_visit(visit=told.visit, started_on=TODAY, by=told.office, now=LATER)
    assert (visit.state, visit.starts_on) == (Visit.State.DONE, TODAY)


def test_visit_is_not_done_when_its_day_has_not_come(told):
    with pytest.raises(Refused, match="not come yet"):
        finish_visit(visit=told.visit, started_on=FRIDAY, by=told.office, now=LATER)


def test_done_visit_is_not_cancelled_when_asked(told):
    finish_visit(visit=told.visit, started_on=TODAY, by=told.office, now=LATER)
    with pytest.raises(Refused):
        cancel_visit(visit=told.visit, by=told.office, now=LATER)


def test_cancelled_visit_is_planned_afresh_when_opened_again(told):
    cancel_visit(visit=told.visit, by=told.office, now=LATER)
    visit = reopen_visit(visit=told.visit, by=told.office)
    assert (visit.state, visit.starts_on) == (Visit.State.PENCILLED, None)


def test_cancelled_visit_gets_nobody_until_it_is_opened_again(told):
    cancel_visit(visit=told.visit, by=told.office, now=LATER)
    with pytest.raises(Refused, match="Open it again"):
        assign_visit(visit=told.visit, contact=told.contact, not_before_on=None, by=told.office)


def test_visit_without_a_plan_is_finished_when_nothing_was_issued():
    firm = make_firm()
    visit = finish_visit(visit=make_visit(make_job(firm)), started_on=TODAY, by=make_office(firm), now=NOW)
    assert visit.state == Visit.State.DONE


def test_date_is_kept_when_agreed_by_phone(told):
    visit = agree_visit(visit=told.visit, starts_on=NEXT_FRIDAY, starts_half="pm", by=told.office, now=LATER)
    assert (visit.state, visit.starts_on, visit.starts_half) == (Visit.State.ACCEPTED, NEXT_FRIDAY, "pm")


def test_agreement_is_refused_when_nobody_is_chosen():
    firm = make_firm()
    visit = make_visit(make_job(firm))
    with pytest.raises(Refused, match="who comes"):
        agree_visit(visit=visit, starts_on=NEXT_FRIDAY, starts_half="am", by=make_office(firm), now=NOW)


def test_agreement_is_refused_when_the_day_has_passed(told):
    with pytest.raises(Refused, match="has passed"):
        agree_visit(visit=told.visit, starts_on=TODAY - timedelta(days=1), starts_half="am", by=told.office, now=NOW)

"""Visits of other trades: who comes, what they answered, whether it took place."""

from datetime import date, datetime

from django.db import transaction

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import is_working
from jobs.actions.permission import Refused, require_office
from jobs.core.slots import day_words
from jobs.core.stages import Trade
from jobs.models import Contact, Pin, SecretLink, ToldDate, User, Visit
from jobs.queries.firm_calendar import local_today
from jobs.queries.plans import find_issued
from jobs.queries.told import find_told, told_slot

Answer = ToldDate.Answer
OVER = (Visit.State.DONE, Visit.State.CANCELLED)


class StaleAnswer(Refused):
    """The answer is to a date that no longer stands."""


def accept_visit(*, told: ToldDate, link: SecretLink, now: datetime) -> Visit:
    """Whoever holds the contact's link can make the date they were told. Saying it twice changes nothing."""
    _require_own(told, link, now)
    return _answer(told, Answer.ACCEPTED, now=now)


def decline_visit(
    *, told: ToldDate, link: SecretLink, note: str = "", can_come_on: date | None = None, now: datetime
) -> Visit:
    """Whoever holds the contact's link cannot make the date; the planner looks for another, from `can_come_on` on."""
    _require_own(told, link, now)
    return _answer(told, Answer.DECLINED, note=note, can_come_on=can_come_on, now=now)


def record_answer(
    *, told: ToldDate, answer: str, note: str = "", can_come_on: date | None = None, by: User, now: datetime
) -> Visit:
    """The office writes down what the trade said by phone."""
    require_office(by, told)
    return _answer(told, answer, note=note, can_come_on=can_come_on, now=now)


@transaction.atomic
def assign_visit(*, visit: Visit, contact: Contact | None, not_before_on: date | None, by: User) -> Visit:
    """Who comes, and from when at the earliest. Another trade starts afresh: both hear when the plan is issued."""
    require_office(by, visit, contact)
    visit = _lock(visit)
    if visit.state in OVER:
        raise Refused(f"This visit is {visit.get_state_display().lower()}. Open it again first.")
    if contact and contact.trade == Trade.CUSTOMER:
        raise Refused("Choose somebody of a trade, not a customer.", field="contact")
    if visit.contact_id != (contact.pk if contact else None):
        visit.contact = contact
        _forget_answer(visit)
    visit.not_before_on = not_before_on
    visit.save()
    return visit


@transaction.atomic
def agree_visit(*, visit: Visit, starts_on: date, starts_half: str, by: User, now: datetime) -> Visit:
    """A date was agreed by phone before anything was sent: the planner keeps it, and they hear it when the plan is issued."""
    require_office(by, visit)
    visit = _lock(visit)
    if visit.state in OVER:
        raise Refused(f"This visit is {visit.get_state_display().lower()}. Open it again first.")
    if visit.contact_id is None:
        raise Refused("Say who comes first, then the date agreed with them.", field="starts_on")
    if starts_on < local_today(visit.firm, now):
        raise Refused(f"{day_words(starts_on)} has passed. Agree a day to come, or say that it took place.", field="starts_on")
    visit.state, visit.starts_on, visit.starts_half = Visit.State.ACCEPTED, starts_on, starts_half
    visit.answer_note, visit.answered_at = "", now
    visit.save()
    _let_go(visit)
    _renew_calendar(visit, now)
    return visit


def _let_go(visit: Visit) -> None:
    """A date agreed with the trade replaces one held by hand."""
    Pin.objects.filter(visit=visit).delete()


@transaction.atomic
def finish_visit(*, visit: Visit, started_on: date, by: User, now: datetime) -> Visit:
    """The visit took place; what waits for it may start."""
    require_office(by, visit)
    visit = _lock(visit)
    if started_on > local_today(visit.firm, now):
        raise Refused(f"{day_words(started_on)} has not come yet. Give the day they started.", field="started_on")
    visit.state, visit.starts_on = Visit.State.DONE, started_on
    visit.save()
    _renew_calendar(visit, now)
    return visit


@transaction.atomic
def cancel_visit(*, visit: Visit, by: User, now: datetime) -> Visit:
    """The visit is not needed on this job; who was told of it hears when the plan is issued."""
    require_office(by, visit)
    visit = _lock(visit)
    if visit.state == Visit.State.DONE:
        raise Refused("This visit took place already.")
    visit.state = Visit.State.CANCELLED
    visit.save()
    _renew_calendar(visit, now)
    return visit


@transaction.atomic
def reopen_visit(*, visit: Visit, by: User) -> Visit:
    """A visit that was cancelled, or marked done by mistake, is to be planned again."""
    require_office(by, visit)
    visit = _lock(visit)
    if visit.state in OVER:
        _forget_answer(visit)
        visit.save()
    return visit


def _require_own(told: ToldDate, link: SecretLink, now: datetime) -> None:
    if not is_working(link, now) or link.contact_id != told.notice.contact_id:
        raise Refused("This link cannot answer for that visit. Ask the office for a new one.")


@transaction.atomic
def _answer(
    told: ToldDate, answer: str, *, note: str = "", can_come_on: date | None = None, now: datetime
) -> Visit:
    visit = _lock(told.visit)
    _refuse_stale(told, visit, now)
    if visit.answered_at and told.answer == answer and visit.answer_note == note:
        return visit
    ToldDate.objects.filter(pk=told.pk).update(answer=answer, answered_at=now)
    visit.state = Visit.State.ACCEPTED if answer == Answer.ACCEPTED else Visit.State.DECLINED
    visit.starts_on, visit.starts_half = told.starts_on, told.starts_half or visit.starts_half
    visit.answer_note, visit.answered_at = note, now
    visit.not_before_on = can_come_on or visit.not_before_on
    visit.save()
    if visit.state == Visit.State.ACCEPTED:
        _let_go(visit)
    _renew_calendar(visit, now)
    return visit


def _refuse_stale(told: ToldDate, visit: Visit, now: datetime) -> None:
    standing = find_told(visit)
    is_theirs = visit.contact_id == told.notice.contact_id
    if visit.state in OVER or not is_theirs or told_slot(standing) is None:
        raise StaleAnswer("This visit is no longer planned for you. Please do not come for it.")
    if standing.pk != told.pk:
        raise StaleAnswer(f"This date changed meanwhile: it is {told_slot(standing).words} now. Please answer that.")
    if told.ends_on < local_today(visit.firm, now):
        raise StaleAnswer("This date is over. Please phone the office.")


def _lock(visit: Visit) -> Visit:
    related = ("firm", "kind", "job", "area", "contact")
    return Visit.objects.select_related(*related).select_for_update(of=("self",)).get(pk=visit.pk)


def _forget_answer(visit: Visit) -> None:
    visit.state, visit.starts_on, visit.answer_note, visit.answered_at = Visit.State.PENCILLED, None, "", None


def _renew_calendar(visit: Visit, now: datetime) -> None:
    issued = find_issued(visit.firm)
    if issued:
        renew_entries(plan=issued, now=now)

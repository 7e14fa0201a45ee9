"""Visits of other trades: who comes, what they answered, whether it took place."""

from collections.abc import Collection
from datetime import date, datetime

from django.db import transaction

from jobs.actions.calendar_entries import renew_entries
from jobs.actions.links import is_working
from jobs.actions.notices import write_answered, write_turned_down
from jobs.actions.permission import Refused, require_office
from jobs.core.slots import day_words
from jobs.core.stages import Trade
from jobs.models import Contact, Notice, Pin, SecretLink, SuggestedDay, ToldDate, User, Visit
from jobs.queries.firm_calendar import local_today
from jobs.queries.plans import find_issued
from jobs.queries.told import find_told, told_slot

Answer = ToldDate.Answer
OVER = (Visit.State.DONE, Visit.State.CANCELLED)
MOST_SUGGESTED = 3
Days = Collection[tuple[date, str]]
"""Days with the half they start in."""


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


def suggest_days(
    *, told: ToldDate, link: SecretLink, days: Days, note: str = "", now: datetime
) -> Visit:
    """Whoever holds the contact's link cannot make the date, but could come on one of these days."""
    _require_own(told, link, now)
    return _answer(told, Answer.SUGGESTED, note=note, days=days, now=now)


def record_answer(
    *,
    told: ToldDate,
    answer: str,
    note: str = "",
    can_come_on: date | None = None,
    days: Days = (),
    by: User,
    now: datetime,
) -> Visit:
    """The office writes down what the trade said by phone."""
    require_office(by, told)
    return _answer(told, answer, note=note, can_come_on=can_come_on, days=days, now=now)


def take_mailed_answer(*, told: ToldDate, answer: str, note: str = "", days: Days = (), now: datetime) -> Visit:
    """An answer that came by mail, whose sender was compared already."""
    return _answer(told, answer, note=note, days=days, now=now)


@transaction.atomic
def accept_suggestion(*, day: SuggestedDay, by: User, now: datetime) -> Visit:
    """One of the days the trade suggested suits: the planner keeps it, and they hear it when the plan is issued."""
    require_office(by, day)
    visit = _lock(day.visit)
    standing = find_told(visit)
    if day.pk not in [each.pk for each in _standing_days(visit, standing)]:
        raise Refused("They no longer suggest this day: it was answered, or the visit was asked for again meanwhile.")
    return agree_visit(visit=visit, starts_on=day.on, starts_half=day.half, by=by, now=now)


@transaction.atomic
def turn_down_suggestions(*, visit: Visit, reason: str = "", by: User, now: datetime) -> Notice:
    """None of the days the trade suggested suits: they are told so, and the planner looks for another date."""
    require_office(by, visit)
    visit = _lock(visit)
    told = find_told(visit)
    days = _standing_days(visit, told)
    if not days:
        raise Refused("They suggest no day at the moment.")
    notice = write_turned_down(told=told, visit=visit, days=list(map(str, days)), reason=" ".join(reason.split()), now=now)
    told.answer = Answer.DECLINED
    told.save(update_fields=["answer"])
    return notice


def _standing_days(visit: Visit, told: ToldDate | None) -> list[SuggestedDay]:
    is_suggesting = visit.state == Visit.State.DECLINED and told is not None and told.answer == Answer.SUGGESTED
    return list(told.suggested_days.all()) if is_suggesting else []


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
    told: ToldDate, answer: str, *, note: str = "", can_come_on: date | None = None, days: Days = (), now: datetime
) -> Visit:
    visit = _lock(told.visit)
    told = ToldDate.objects.select_related("notice__contact").get(pk=told.pk)
    _refuse_stale(told, visit, now)
    days = sorted(set(days))
    if answer == Answer.SUGGESTED:
        _refuse_days(days, local_today(visit.firm, now))
    if visit.answered_at and told.answer == answer and visit.answer_note == note and days == _days_of(told):
        return visit
    _replace_days(told, days)
    told.answer, told.answered_at = answer, now
    told.save(update_fields=["answer", "answered_at"])
    visit.state = Visit.State.ACCEPTED if answer == Answer.ACCEPTED else Visit.State.DECLINED
    visit.starts_on, visit.starts_half = told.starts_on, told.starts_half or visit.starts_half
    visit.answer_note, visit.answered_at = note, now
    visit.not_before_on = can_come_on or visit.not_before_on
    visit.save()
    if visit.state == Visit.State.ACCEPTED:
        _let_go(visit)
    _renew_calendar(visit, now)
    write_answered(told=told, visit=visit, now=now)
    return visit


def _days_of(told: ToldDate) -> list[tuple[date, str]]:
    return list(told.suggested_days.order_by("on", "half").values_list("on", "half"))


def _refuse_days(days: list[tuple[date, str]], today: date) -> None:
    if not 1 <= len(days) <= MOST_SUGGESTED:
        raise Refused(f"Suggest one to {MOST_SUGGESTED} different days.", field="day_1")
    if passed := next((on for on, _ in days if on <= today), None):
        raise Refused(f"{day_words(passed)} is too soon. Suggest days after today.", field="day_1")


def _replace_days(told: ToldDate, days: list[tuple[date, str]]) -> None:
    told.suggested_days.all().delete()
    SuggestedDay.objects.bulk_create(
        [SuggestedDay(firm_id=told.firm_id, told=told, visit_id=told.visit_id, on=on, half=half) for on, half in days]
    )


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

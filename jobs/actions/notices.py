"""Telling people their dates: written with the plan that is issued, sent afterwards by whoever runs the outbox."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from jobs.actions.invitations import write_invitations
from jobs.actions.links import ensure_trade_links
from jobs.actions.permission import require_office
from jobs.actions.posting import new_message_id, one_line, post
from jobs.core.slots import Slot
from jobs.core.telling import Telling, headline, tell_agreed, tell_go_ahead, tell_off, tell_turned_down
from jobs.models import Contact, Invitation, MailAnswer, Notice, Plan, ToldDate, User, Visit
from jobs.queries.firm_calendar import local_today
from jobs.queries.held_back import load_held
from jobs.queries.invitations import find_counter, list_steps
from jobs.queries.notices import Letter, is_agreed_start, load_crew_letters, load_trade_letters, visit_words
from jobs.queries.told import find_told, told_slot

ASKED_FIELDS = ("state", "starts_on", "starts_half", "answer_note", "answered_at")


@transaction.atomic
def write_notices(*, plan: Plan, previous: Plan | None, by: User, now: datetime) -> list[Notice]:
    """At most one notice for each contact and crew member who can see a change in `plan`; mail goes to the outbox.

    `previous` is the plan issued before; it tells which dates this plan moved. Nothing for those held back.
    """
    require_office(by, plan)
    today, held = local_today(plan.firm, now), load_held(plan)
    letters = [*load_trade_letters(plan, previous, today), *load_crew_letters(plan, today, now)]
    return write_letters(letters=[letter for letter in letters if letter.recipient not in held], plan=plan, now=now)


def write_letters(*, letters: list[Letter], plan: Plan, now: datetime) -> list[Notice]:
    """A notice for each letter, with its dates and invitations, on its way."""
    notices = Notice.objects.bulk_create([_notice(letter, plan, now) for letter in letters])
    told_dates = _remember_told(zip(notices, letters, strict=True), now)
    write_invitations((told.notice, told, step) for told, step in list_steps(told_dates, plan.firm, now))
    ensure_trade_links(contacts=[letter.recipient for letter in letters if isinstance(letter.recipient, Contact)], now=now)
    for notice, letter in zip(notices, letters, strict=True):
        post(notice, plan.firm, now, about=letter.first_on)
    return notices


def write_go_ahead(*, visit: Visit, now: datetime) -> Notice:
    """Tell the visit's contact that everything they cover has been released; mail goes to the outbox."""
    what = tell_go_ahead(visit_words(visit), visit.starts_on, visit.starts_half)
    notice = _single_notice(visit, Notice.Kind.GO_AHEAD, what, now)
    told = find_told(visit)
    if told and told.notice.contact_id == visit.contact_id:
        told.visit = visit
        due = list_steps([told], visit.firm, now, gate_is_open=True)
        write_invitations((notice, told, step) for told, step in due)
    post(notice, visit.firm, now, about=visit.starts_on)
    return notice


def write_answered(*, told: ToldDate, visit: Visit, now: datetime) -> Notice | None:
    """Bring the calendar of somebody who answered in line with their answer, and thank them in words.

    Nothing for those whose calendar was never told of the visit, or shows it so already.
    """
    told.visit = visit
    if not Invitation.objects.filter(contact=told.notice.contact_id, visit=visit).exists():
        return None
    due = list_steps([told], visit.firm, now)
    if not due:
        return None
    is_agreed = told.answer == ToldDate.Answer.ACCEPTED
    what = (tell_agreed if is_agreed else tell_off)(visit_words(visit), told_slot(told))
    notice = _single_notice(visit, Notice.Kind.AGREED if is_agreed else Notice.Kind.CANCELLED, what, now)
    write_invitations((notice, told, step) for told, step in due)
    post(notice, visit.firm, now, about=visit.starts_on)
    return notice


def write_turned_down(*, told: ToldDate, visit: Visit, days: list[str], reason: str, now: datetime) -> Notice:
    """Tell a contact that none of the days they suggested suits; their calendar hears it too if it proposed the time."""
    what = tell_turned_down(visit_words(visit), days, reason)
    notice = _single_notice(visit, Notice.Kind.DECLINED, what, now, turns_down=find_counter(told))
    post(notice, visit.firm, now, about=None)
    return notice


def _single_notice(
    visit: Visit, kind: str, what: Telling, now: datetime, *, turns_down: MailAnswer | None = None
) -> Notice:
    """A notice of one sentence that belongs to no plan."""
    notice = Notice.objects.create(
        firm=visit.firm, contact=visit.contact, kind=kind, subject=one_line(what.subject), lines=[what.line],
        message_id=new_message_id(), made_at=now, turns_down=turns_down,
    )
    ensure_trade_links(contacts=[visit.contact], now=now)
    return notice


def _notice(letter: Letter, plan: Plan, now: datetime) -> Notice:
    kind, subject = headline(letter.tellings)
    is_contact = isinstance(letter.recipient, Contact)
    return Notice(
        firm_id=plan.firm_id,
        plan=plan,
        contact=letter.recipient if is_contact else None,
        person=None if is_contact else letter.recipient,
        kind=kind,
        subject=one_line(subject),
        lines=[telling.line for telling in letter.tellings],
        days=letter.days,
        message_id=new_message_id(),
        made_at=now,
    )


def _remember_told(written: Iterable[tuple[Notice, Letter]], now: datetime) -> list[ToldDate]:
    told, asked = [], []
    for notice, letter in written:
        for visit, slot in letter.told:
            row = _told_date(notice, visit, slot, now)
            told.append(row)
            if slot and is_agreed_start(visit, slot):
                row.answer, row.answered_at = ToldDate.Answer.ACCEPTED, visit.answered_at
            elif slot:
                visit.state, visit.answer_note, visit.answered_at = Visit.State.ASKED, "", None
                visit.starts_on, visit.starts_half = slot.starts_on, slot.starts_half
                asked.append(visit)
    Visit.objects.bulk_update(asked, ASKED_FIELDS, batch_size=100)
    return ToldDate.objects.bulk_create(told)


def _told_date(notice: Notice, visit: Visit, slot: Slot | None, now: datetime) -> ToldDate:
    told = ToldDate(firm_id=notice.firm_id, notice=notice, visit=visit, told_at=now)
    if slot:
        told.starts_on, told.starts_half = slot.starts_on, slot.starts_half
        told.ends_on, told.ends_half = slot.ends_on, slot.ends_half
    return told

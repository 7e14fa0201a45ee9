"""Answers that come by mail: compared with what was sent, taken once, kept with what became of them."""

import uuid
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs.actions.permission import Refused
from jobs.actions.visits import StaleAnswer, take_mailed_answer
from jobs.calendars.replies import CalendarAnswer, IncomingMail, read_mail
from jobs.core.stages import Half
from jobs.models import Contact, Firm, Invitation, InvitationMessage, MailAnswer, ToldDate, Visit
from jobs.queries.reply_addresses import find_contact
from rewire.named_firm import work_for

Outcome = MailAnswer.Outcome
Answer = ToldDate.Answer
ANSWERS = {"ACCEPTED": Answer.ACCEPTED, "DECLINED": Answer.DECLINED}
TAKEN = (Outcome.APPLIED, Outcome.PART)
LONG_AGO = datetime.min.replace(tzinfo=UTC)
MOST_REASON = MailAnswer._meta.get_field("reason").max_length
MOST_NOTE = Visit._meta.get_field("answer_note").max_length
MOST_SEQUENCE = 2**31 - 1


@dataclass(frozen=True)
class Taken:
    """What became of a mail: the kept row, or in words why nothing was kept."""

    row: MailAnswer | None
    words: str


@dataclass(frozen=True)
class _Verdict:
    outcome: str
    reason: str = ""


def take_mail(raw: bytes, *, now: datetime) -> Taken:
    """Take one mail, whoever hands it in and however often: it acts at most once."""
    mail = read_mail(raw)
    if mail.ignored:
        return Taken(None, f"Ignored: {mail.ignored}.")
    contact = find_contact(mail.recipients)
    if contact is None:
        return Taken(None, "Ignored: it was not sent to a reply address of ours.")
    with work_for(contact.firm_id), transaction.atomic():
        Contact.objects.select_for_update(no_key=True).get(pk=contact.pk)
        if MailAnswer.objects.filter(firm=contact.firm_id, message_id=mail.message_id).exists():
            return Taken(None, "Ignored: it was taken before.")
        row = _keep(mail, contact, now)
    return Taken(row, f"{row.get_outcome_display()}.{f' {row.reason}' if row.reason else ''}")


def _keep(mail: IncomingMail, contact: Contact, now: datetime) -> MailAnswer:
    answer, invitation = mail.answer, _find_invitation(mail.answer, contact)
    verdict = _judge(mail, contact, invitation, now)
    is_readable = answer is not None and answer.sequence <= MOST_SEQUENCE
    return MailAnswer.objects.create(
        firm_id=contact.firm_id,
        message_id=mail.message_id,
        contact=contact,
        invitation=invitation,
        sequence=max(answer.sequence, 0) if is_readable else None,
        stamped_at=answer.stamped_at if answer else None,
        answer=_answer_words(answer)[:20],
        words=(answer.comment if answer and answer.comment else mail.words),
        outcome=verdict.outcome,
        reason=verdict.reason[:MOST_REASON],
        received_at=now,
    )


def _answer_words(answer: CalendarAnswer | None) -> str:
    if answer is None:
        return ""
    return "suggested" if answer.proposed else answer.participation.lower()


def _find_invitation(answer: CalendarAnswer | None, contact: Contact) -> Invitation | None:
    try:
        uid = uuid.UUID(answer.uid) if answer else None
    except ValueError:
        return None
    rows = Invitation.objects.filter(uid=uid, contact=contact).select_related("visit")
    return rows.first() if uid else None


def _judge(mail: IncomingMail, contact: Contact, invitation: Invitation | None, now: datetime) -> _Verdict:
    """Sender, tag, UID and ATTENDEE must agree; then the newest answer to a date that stands is taken."""
    known = _addresses_of(contact)
    if mail.sender not in known:
        return _Verdict(Outcome.REFUSED, f"It came from {mail.sender or 'nobody'}, not from {contact.email}.")
    if mail.fault:
        return _Verdict(Outcome.REFUSED, mail.fault)
    if mail.answer is None:
        return _Verdict(Outcome.LETTER)
    if invitation is None:
        return _Verdict(Outcome.REFUSED, "It answers an event that was not sent to them.")
    if mail.answer.attendee not in known:
        return _Verdict(Outcome.REFUSED, "It answers for somebody else.")
    return _judge_version(mail.answer, mail.words, invitation, now)


def _addresses_of(contact: Contact) -> set[str]:
    sent_to = InvitationMessage.objects.filter(invitation__contact=contact).values_list("sent_to", flat=True)
    return {address.lower() for address in (contact.email, *sent_to.distinct()) if address}


def _judge_version(answer: CalendarAnswer, words: str, invitation: Invitation, now: datetime) -> _Verdict:
    if not 0 <= answer.sequence <= invitation.sequence:
        return _Verdict(Outcome.REFUSED, "It answers a version that was never sent.")
    if _is_older(answer, invitation):
        return _Verdict(Outcome.OLDER)
    asked = invitation.messages.filter(sequence__lte=answer.sequence).select_related("told__visit").last()
    if invitation.is_gone:
        return _Verdict(Outcome.STALE, f"They answer {asked.when}, which was called off meanwhile.")
    return _apply(answer, words, invitation, asked, now)


def _is_older(answer: CalendarAnswer, invitation: Invitation) -> bool:
    """By SEQUENCE, then DTSTAMP (RFC 5546 section 2.1.5)."""
    taken = invitation.mail_answers.filter(outcome__in=TAKEN).values_list("sequence", "stamped_at")
    newest = max(((sequence, at or LONG_AGO) for sequence, at in taken), default=(-1, LONG_AGO))
    return (answer.sequence, answer.stamped_at or LONG_AGO) <= newest


def _apply(
    answer: CalendarAnswer, words: str, invitation: Invitation, asked: InvitationMessage, now: datetime
) -> _Verdict:
    said = Answer.SUGGESTED if answer.proposed else ANSWERS.get(answer.participation)
    if said is None:
        return _Verdict(Outcome.LETTER, "Neither a yes nor a no: please ask them.")
    if said == Answer.ACCEPTED and not _are_others_accepted(invitation, asked.told):
        return _Verdict(Outcome.PART)
    days = [_proposed_start(answer.proposed, invitation.firm)] if answer.proposed else []
    if days and days[0] == (asked.told.starts_on, asked.told.starts_half):
        return _Verdict(Outcome.LETTER, "They propose another time of the same half day: please ask them.")
    note = " ".join((answer.comment or words).split())[:MOST_NOTE] if said != Answer.ACCEPTED else ""
    try:
        take_mailed_answer(told=asked.told, answer=said, note=note, days=days, now=now)
    except StaleAnswer as stale:
        return _Verdict(Outcome.STALE, f"They answer {asked.when}. {stale.message}")
    except Refused as refused:
        return _Verdict(Outcome.REFUSED, refused.message)
    return _Verdict(Outcome.APPLIED)


def _are_others_accepted(invitation: Invitation, told: ToldDate) -> bool:
    """Whether every other unbroken run of the visit was accepted too, in the date that is being answered."""
    others = Invitation.objects.filter(contact=invitation.contact_id, visit=invitation.visit_id, is_gone=False)
    return all(_is_accepted(other, told) for other in others.exclude(pk=invitation.pk))


def _is_accepted(invitation: Invitation, told: ToldDate) -> bool:
    taken = invitation.mail_answers.filter(outcome__in=TAKEN).order_by("sequence", "stamped_at", "pk").last()
    if taken is None or taken.answer != Answer.ACCEPTED:
        return False
    asked = invitation.messages.filter(sequence__lte=taken.sequence).last()
    return asked.told_id == told.pk


def _proposed_start(proposed: date | datetime, firm: Firm) -> tuple[date, str]:
    """The day, and the half by the firm's clock, that a proposed time starts in."""
    if not isinstance(proposed, datetime):
        return proposed, Half.MORNING.value
    local = proposed.astimezone(ZoneInfo(firm.zone)) if proposed.tzinfo else proposed
    half = Half.MORNING if local.time() < firm.morning_ends else Half.AFTERNOON
    return local.date(), half.value

"""Telling people their dates: written with the plan that is issued, sent afterwards by whoever runs the outbox."""

from collections.abc import Iterable
from datetime import datetime
from email.utils import formataddr, make_msgid, parseaddr
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string

from jobs import outbox
from jobs.actions.links import ensure_trade_links
from jobs.actions.permission import require_office
from jobs.core.slots import Slot
from jobs.core.telling import headline, tell_go_ahead
from jobs.models import Contact, Delivery, Firm, Notice, Plan, SecretLink, ToldDate, User, Visit
from jobs.queries.firm_calendar import local_today
from jobs.queries.links import find_link_for, web_address
from jobs.queries.notices import Letter, load_crew_letters, load_trade_letters, visit_words

MOST_SUBJECT_CHARACTERS = Notice._meta.get_field("subject").max_length
ASKED_FIELDS = ("state", "starts_on", "starts_half", "answer_note", "answered_at")


@transaction.atomic
def write_notices(*, plan: Plan, previous: Plan | None, by: User, now: datetime) -> list[Notice]:
    """At most one notice for each contact and crew member who can see a change in `plan`; mail goes to the outbox.

    `previous` is the plan issued before; it tells which dates this plan moved.
    """
    require_office(by, plan)
    today = local_today(plan.firm, now)
    letters = [*load_trade_letters(plan, previous, today), *load_crew_letters(plan, today, now)]
    notices = Notice.objects.bulk_create([_notice(letter, plan, now) for letter in letters])
    _remember_told(zip(notices, letters, strict=True), now)
    ensure_trade_links(contacts=[letter.recipient for letter in letters if isinstance(letter.recipient, Contact)], now=now)
    for notice in notices:
        _post(notice, plan.firm, now)
    return notices


def write_go_ahead(*, visit: Visit, now: datetime) -> Notice:
    """Tell the visit's contact that everything they cover has been released; mail goes to the outbox."""
    what = tell_go_ahead(visit_words(visit), visit.starts_on, visit.starts_half)
    notice = Notice.objects.create(
        firm_id=visit.firm_id, contact=visit.contact, kind=Notice.Kind.GO_AHEAD, subject=_one_line(what.subject),
        lines=[what.line], message_id=_new_message_id(), made_at=now,
    )
    ensure_trade_links(contacts=[visit.contact], now=now)
    _post(notice, visit.firm, now)
    return notice


def send_notice(*, notice_pk: int, now: datetime) -> None:
    """Mail a notice, once as far as we know; the Message-ID stays the same however often it is tried."""
    related = ("firm", "contact", "person", "delivery")
    notice = Notice.objects.select_related(*related).get(pk=notice_pk)
    address = (notice.contact or notice.person).email
    if address and not hasattr(notice, "delivery"):
        _message(notice, address, now).send()
        kept = {"firm_id": notice.firm_id, "address": address, "sent_at": now}
        Delivery.objects.get_or_create(notice=notice, defaults=kept)


def notice_text(notice: Notice, page: str) -> str:
    """The whole message in plain words: what is mailed, and what can be copied into a phone message.

    `page` is the address of the contact's own page, or blank.
    """
    return render_to_string("mail/notice.txt", {"notice": notice, "firm": notice.firm, "page": page}).strip() + "\n"


def _notice(letter: Letter, plan: Plan, now: datetime) -> Notice:
    kind, subject = headline(letter.tellings)
    is_contact = isinstance(letter.recipient, Contact)
    return Notice(
        firm_id=plan.firm_id,
        plan=plan,
        contact=letter.recipient if is_contact else None,
        person=None if is_contact else letter.recipient,
        kind=kind,
        subject=_one_line(subject),
        lines=[telling.line for telling in letter.tellings],
        days=letter.days,
        message_id=_new_message_id(),
        made_at=now,
    )


def _one_line(subject: str) -> str:
    return " ".join(subject.split())[:MOST_SUBJECT_CHARACTERS]


def _new_message_id() -> str:
    return make_msgid(domain=urlsplit(settings.SITE_URL).hostname)


def _remember_told(written: Iterable[tuple[Notice, Letter]], now: datetime) -> None:
    told, asked = [], []
    for notice, letter in written:
        for visit, slot in letter.told:
            told.append(_told_date(notice, visit, slot, now))
            if slot:
                visit.state, visit.answer_note, visit.answered_at = Visit.State.ASKED, "", None
                visit.starts_on, visit.starts_half = slot.starts_on, slot.starts_half
                asked.append(visit)
    ToldDate.objects.bulk_create(told)
    Visit.objects.bulk_update(asked, ASKED_FIELDS, batch_size=100)


def _told_date(notice: Notice, visit: Visit, slot: Slot | None, now: datetime) -> ToldDate:
    told = ToldDate(firm_id=notice.firm_id, notice=notice, visit=visit, told_at=now)
    if slot:
        told.starts_on, told.starts_half = slot.starts_on, slot.starts_half
        told.ends_on, told.ends_half = slot.ends_on, slot.ends_half
    return told


def _post(notice: Notice, firm: Firm, now: datetime) -> None:
    if (notice.contact or notice.person).email:
        outbox.enqueue(
            key=f"notice:{notice.pk}", task="send_notice", payload={"notice_pk": notice.pk}, due_at=now, firm=firm
        )


def _message(notice: Notice, address: str, now: datetime) -> EmailMessage:
    firm, sender = notice.firm, parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    return EmailMessage(
        subject=notice.subject,
        body=notice_text(notice, _page(notice, now)),
        from_email=formataddr((" ".join(firm.name.split()), sender)),
        to=[address],
        reply_to=[firm.email] if firm.email else [],
        headers={"Message-ID": notice.message_id, "Auto-Submitted": "auto-generated"},
    )


def _page(notice: Notice, now: datetime) -> str:
    link = find_link_for(SecretLink.Purpose.TRADE_PAGE, contact=notice.contact, now=now) if notice.contact_id else None
    return web_address(link) if link else ""

"""Notices leave by mail: the words, and with them the one calendar object that a mail program acts on.

Whoever takes text messages gets the words alone.
"""

from datetime import datetime
from email.charset import Charset
from email.utils import formataddr, parseaddr

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db.models import QuerySet
from django.template.loader import render_to_string

from jobs.actions.texting import load_gateway
from jobs.calendars.invitation import FILE_NAME, invitation_text
from jobs.calendars.text import clean
from jobs.core.invitations import Invitation, Method
from jobs.models import Contact, Delivery, InvitationMessage, Notice, Person, SecretLink
from jobs.queries.channels import channel_of
from jobs.queries.invitations import core_invitation, core_turned_down
from jobs.queries.links import find_link_for, web_address

BASE64 = Charset("utf-8")
"""Mail servers on the way may not carry 8-bit lines (RFC 6047 section 2.4)."""


def send_notice(*, notice_pk: int, now: datetime) -> None:
    """Mail a notice, each of its mails once as far as we know; Message-IDs stay the same however often it is tried.

    The first event of it goes with the words, every further one by itself: mail programs act on one calendar object
    in a mail.
    """
    notice = Notice.objects.select_related("firm", "contact", "person", "delivery").get(pk=notice_pk)
    if hasattr(notice, "delivery") and notice.delivery.channel != Delivery.Channel.MAIL:
        return
    channel = channel_of(notice.contact or notice.person)
    if channel == Contact.Channel.TEXT:
        _text(notice, now)
    if channel == Contact.Channel.MAIL:
        _mail_all(notice, notice.contact or notice.person, now)


def _text(notice: Notice, now: datetime) -> None:
    number = notice.contact.phone
    load_gateway().send(number=number, text=notice_text(notice, _page(notice, now)), reference=notice.message_id)
    kept = {"firm_id": notice.firm_id, "channel": Delivery.Channel.TEXT, "address": number, "sent_at": now}
    Delivery.objects.get_or_create(notice=notice, defaults=kept)


def _mail_all(notice: Notice, recipient: Contact | Person, now: datetime) -> None:
    address = recipient.email
    messages = list(_invitation_messages(notice))
    if not hasattr(notice, "delivery"):
        build_mail(notice, messages[0] if messages else None, address, page=_page(notice, now)).send()
        kept = {"firm_id": notice.firm_id, "address": address, "sent_at": now}
        Delivery.objects.get_or_create(notice=notice, defaults=kept)
        _mark_sent(messages[:1], address, now)
    for message in messages[1:]:
        if message.sent_at is None:
            build_mail(notice, message, address).send()
            _mark_sent([message], address, now)


def notice_text(notice: Notice, page: str, *, has_calendar: bool = False) -> str:
    """The whole message in plain words: what is mailed, and what can be copied into a phone message.

    `page` is the address of the contact's own page, or blank. `has_calendar`: a calendar file goes with it.
    """
    return _words("mail/notice.txt", notice, page=page, has_calendar=has_calendar)


def _invitation_messages(notice: Notice) -> QuerySet[InvitationMessage]:
    return notice.invitation_messages.select_related("invitation__contact", "firm", "told").order_by("number")


def _mark_sent(messages: list[InvitationMessage], address: str, now: datetime) -> None:
    pks = [message.pk for message in messages]
    InvitationMessage.objects.filter(pk__in=pks, sent_at=None).update(sent_at=now, sent_to=address)


def build_mail(
    notice: Notice, message: InvitationMessage | None, address: str, *, page: str = ""
) -> EmailMultiAlternatives:
    """The words of a notice with its first message if it has one, or one of its further messages by itself."""
    if message and message.number > 1:
        return _invitation_mail(notice, message, address)
    words = notice_text(notice, page, has_calendar=message is not None)
    headers, calendar = {"Message-ID": notice.message_id}, _calendar(notice, message, address)
    return _mail(notice, calendar, address, subject=_one_line(notice.subject), body=words, headers=headers)


def _invitation_mail(notice: Notice, message: InvitationMessage, address: str) -> EmailMultiAlternatives:
    is_off = message.method == Method.CANCEL
    summary = _one_line(message.summary)
    words = _words("mail/invitation.txt", notice, summary=summary, when=message.when, is_off=is_off)
    own_id = notice.message_id.replace("@", f".{message.number}@", 1)
    headers = {"Message-ID": own_id, "In-Reply-To": notice.message_id, "References": notice.message_id}
    subject, calendar = f"{'Cancelled' if is_off else 'Date'}: {summary}", _calendar(notice, message, address)
    return _mail(notice, calendar, address, subject=subject, body=words, headers=headers)


def _calendar(notice: Notice, message: InvitationMessage | None, address: str) -> Invitation | None:
    """The one calendar object of a mail."""
    if message:
        return core_invitation(message, address)
    return core_turned_down(notice.turns_down, notice, address) if notice.turns_down else None


def _mail(
    notice: Notice, calendar: Invitation | None, address: str, *, headers: dict[str, str], **words: str
) -> EmailMultiAlternatives:
    firm = notice.firm
    sender = calendar.organizer.address if calendar else parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    mail = EmailMultiAlternatives(
        from_email=formataddr((_one_line(firm.name), sender)),
        to=[address],
        reply_to=[firm.email] if firm.email else [],
        headers={"Auto-Submitted": "auto-generated", **headers},
        **words,
    )
    if calendar:
        _attach(mail, calendar)
    return mail


def _attach(mail: EmailMultiAlternatives, calendar: Invitation) -> None:
    text = invitation_text(calendar)
    mail.encoding = BASE64
    mail.attach_alternative(text, f"text/calendar; method={calendar.method}")
    mail.attach(FILE_NAME, text.encode(), "application/ics")


def _page(notice: Notice, now: datetime) -> str:
    link = find_link_for(SecretLink.Purpose.TRADE_PAGE, contact=notice.contact, now=now) if notice.contact_id else None
    return web_address(link) if link else ""


def _words(template: str, notice: Notice, **more: object) -> str:
    return render_to_string(template, {"notice": notice, "firm": notice.firm, **more}).strip() + "\n"


def _one_line(text: str) -> str:
    return " ".join(clean(text).split())

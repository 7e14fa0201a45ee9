"""Notices on their way: by mail or text message through the outbox, or waiting for somebody to pass them on."""

from datetime import date, datetime
from email.utils import make_msgid
from urllib.parse import urlsplit

from django.conf import settings
from django.db import transaction

from jobs import outbox
from jobs.actions.permission import Refused, require_office
from jobs.models import Delivery, Firm, Notice, User
from jobs.queries.channels import leaves_by_itself, notice_key
from jobs.queries.firm_calendar import quiet_hours

MOST_SUBJECT_CHARACTERS = Notice._meta.get_field("subject").max_length


def post(notice: Notice, firm: Firm, now: datetime, *, about: date | None) -> None:
    """Let a notice leave, after the firm's quiet hours unless `about`, its first day, would have come by then."""
    if leaves_by_itself(notice):
        due_at = quiet_hours(firm).leaves_at(now, about=about)
        outbox.enqueue(
            key=notice_key(notice), task="send_notice", payload={"notice_pk": notice.pk}, due_at=due_at, firm=firm
        )


@transaction.atomic
def pass_on(*, notice: Notice, by: User, now: datetime) -> Delivery:
    """Write down that somebody passed a notice on by hand, as a phone message or in a call."""
    require_office(by, notice)
    notice = Notice.objects.select_for_update(of=("self",)).select_related("contact", "person").get(pk=notice.pk)
    if Delivery.objects.filter(notice=notice).exists():
        raise Refused("This message has gone already.")
    return Delivery.objects.create(
        firm_id=notice.firm_id, notice=notice, channel=Delivery.Channel.COPY, passed_by=by, sent_at=now,
        address=(notice.contact or notice.person).phone,
    )


def one_line(subject: str) -> str:
    return " ".join(subject.split())[:MOST_SUBJECT_CHARACTERS]


def new_message_id() -> str:
    return make_msgid(domain=urlsplit(settings.SITE_URL).hostname)

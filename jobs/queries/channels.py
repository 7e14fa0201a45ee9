"""How a notice reaches its recipient, and when it leaves."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings

from jobs.models import Contact, Notice, OutboxEntry, Person

Channel = Contact.Channel
KEY = "notice:{}"


def notice_key(notice: Notice) -> str:
    """Of its entry in the outbox."""
    return KEY.format(notice.pk)


def channel_of(recipient: Contact | Person) -> str:
    """How messages reach somebody now: what they want, or by hand where that cannot be done."""
    wanted = recipient.channel if isinstance(recipient, Contact) else Channel.MAIL
    if wanted == Channel.TEXT and can_text(recipient):
        return Channel.TEXT
    return Channel.MAIL if wanted == Channel.MAIL and recipient.email else Channel.COPY


def can_text(recipient: Contact | Person) -> bool:
    return bool(settings.TEXT_GATEWAY and recipient.phone)


def leaves_by_itself(notice: Notice) -> bool:
    return channel_of(notice.contact or notice.person) != Channel.COPY


def load_waiting(notices: Iterable[Notice], now: datetime) -> dict[int, datetime]:
    """Notice pk → when it leaves, for those that wait in the outbox for a later hour."""
    keys = {notice_key(notice): notice.pk for notice in notices}
    waiting = OutboxEntry.objects.filter(key__in=keys, state=OutboxEntry.State.WAITING, due_at__gt=now)
    return {keys[key]: due_at for key, due_at in waiting.values_list("key", "due_at")}

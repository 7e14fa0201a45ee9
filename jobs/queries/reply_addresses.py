"""Where answers by mail go: an address of its own for each contact, which nobody else can make up."""

import base64
import hashlib
import hmac
import re
from collections.abc import Iterable
from email.utils import parseaddr

from django.conf import settings

from jobs.models import Contact

TAG = re.compile(r"\+([0-9]{1,18})-([a-z2-7]{16})@")
PLAIN_ADDRESS = re.compile(r"[!-~]+@[!-~]+")
"""Visible ASCII: anything else could not be written into a calendar."""


def can_be_invited(contact: Contact) -> bool:
    """Whether their messages go by mail, to an address a calendar can hold."""
    return contact.channel == Contact.Channel.MAIL and PLAIN_ADDRESS.fullmatch(contact.email) is not None


def organizer_address(contact: Contact) -> str:
    """Who asks, as calendars see it: the reply address with the contact's tag, or plainly the sender where none is read."""
    if not settings.REPLY_ADDRESS:
        return parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    box, _, domain = settings.REPLY_ADDRESS.rpartition("@")
    return f"{box}+{contact.pk}-{_signature(settings.SECRET_KEY, contact)}@{domain}"


def find_contact(addresses: Iterable[str]) -> Contact | None:
    """Whose reply address is among these; mail programs may change its case."""
    for found in filter(None, map(TAG.search, (address.lower() for address in addresses))):
        contact = Contact.objects.select_related("firm").filter(pk=int(found[1])).first()
        if contact and any(hmac.compare_digest(found[2], _signature(key, contact)) for key in _keys()):
            return contact
    return None


def _keys() -> list[str]:
    return [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]


def _signature(key: str, contact: Contact) -> str:
    """80 bits, in letters that survive a change of case."""
    derived = hashlib.sha256(b"jobs.reply-addresses:" + key.encode()).digest()
    return base64.b32encode(hmac.digest(derived, str(contact.uid).encode(), "sha256")[:10]).decode().lower()

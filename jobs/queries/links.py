"""Secret links: their tokens, the addresses made of them, and which link a token opens."""

import base64
import hashlib
import hmac
from datetime import datetime

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse

from jobs.models import Contact, Firm, Job, Person, SecretLink

RELATED = ("firm", "person", "job", "contact")
FEEDS = (
    SecretLink.Purpose.PERSON_FEED, SecretLink.Purpose.JOB_FEED, SecretLink.Purpose.TRADE_FEED,
    SecretLink.Purpose.CUSTOMER_FEED, SecretLink.Purpose.FIRM_FEED,
)
SHOWN_BY_FEEDS = (
    "uid", "purpose", "firm", "last_used_at", "shows_days_away", "shows_order", "alarm_minutes", "firm__name", "firm__zone",
    "firm__calendar_version", "person__name", "job__name", "contact",
)
PAGES = {SecretLink.Purpose.TRADE_PAGE: "trade_page", SecretLink.Purpose.CUSTOMER_PAGE: "customer_page"}


def token_of(link: SecretLink) -> str:
    """The link's token: 256 bits that only somebody with the secret key can work out again from the row."""
    message = f"{link.uid}:{link.version}".encode()
    candidates = [_token(key, message) for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)]
    return next((token for token in candidates if hash_token(token) == link.token_hash), candidates[0])


def hash_token(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def address_path(link: SecretLink) -> str:
    """The path the link opens: a page for somebody outside, or a calendar."""
    return reverse("calendar_feed" if link.purpose in FEEDS else PAGES[link.purpose], args=[token_of(link)])


def web_address(link: SecretLink) -> str:
    return settings.SITE_URL + address_path(link)


def find_link(token: str, *purposes: str, now: datetime) -> SecretLink | None:
    """The link that a token opens, with whom it is for, in one query; None when unknown, revoked or expired."""
    links = _live(now).filter(token_hash=hash_token(token), purpose__in=purposes)
    return links.select_related(*RELATED).first()


def find_feed(token: str, now: datetime) -> SecretLink | None:
    """The calendar that a token opens, in one query that brings no more than an unchanged calendar needs."""
    links = _live(now).filter(token_hash=hash_token(token), purpose__in=FEEDS)
    return next(iter(links.select_related("firm", "person", "job").only(*SHOWN_BY_FEEDS)), None)


def list_links(firm: Firm, now: datetime) -> list[SecretLink]:
    """The firm's working links."""
    return list(_live(now).filter(firm=firm).select_related(*RELATED).order_by("purpose", "pk"))


def load_page_addresses(firm: Firm, now: datetime) -> dict[int, str]:
    """Contact pk → the address of their own page, for those who have one."""
    pages = _live(now).filter(firm=firm, purpose=SecretLink.Purpose.TRADE_PAGE)
    return {link.contact_id: web_address(link) for link in pages}


def find_link_for(
    purpose: str, *, now: datetime, person: Person | None = None, job: Job | None = None, contact: Contact | None = None,
    firm: Firm | None = None,
) -> SecretLink | None:
    """The working link of one purpose for one person, job or contact, or for the whole firm."""
    links = _live(now).filter(purpose=purpose, person=person, job=job, contact=contact)
    if firm:
        links = links.filter(firm=firm)
    return links.select_related(*RELATED).first()


def _live(now: datetime) -> QuerySet[SecretLink]:
    return SecretLink.objects.filter(Q(expires_at=None) | Q(expires_at__gt=now), revoked_at=None)


def _token(key: str, message: bytes) -> str:
    derived = hashlib.sha256(b"jobs.secret-links:" + key.encode()).digest()
    return base64.urlsafe_b64encode(hmac.digest(derived, message, "sha256")).decode().rstrip("=")

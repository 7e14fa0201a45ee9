"""Secret links: made, renewed and revoked in the office. An old address stops working at once."""

from datetime import datetime, timedelta

from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.models import Contact, Firm, Job, Person, SecretLink, User
from jobs.queries.links import hash_token, token_of

TRADE_PURPOSES = (SecretLink.Purpose.TRADE_PAGE, SecretLink.Purpose.TRADE_FEED)
NOTED_EVERY = timedelta(minutes=5)
"""How exactly "last opened" is kept: a calendar that asks again sooner costs no write."""


@transaction.atomic
def make_link(
    *,
    purpose: str,
    by: User,
    now: datetime,
    person: Person | None = None,
    job: Job | None = None,
    contact: Contact | None = None,
    firm: Firm | None = None,
) -> tuple[SecretLink, str]:
    """The link of this purpose for one person, job or contact, or for the whole firm, and its token.

    A working one is kept as it is.
    """
    require_office(by, person, job, contact, firm)
    link = SecretLink.objects.select_for_update().filter(
        firm_id=by.firm_id, purpose=purpose, person=person, job=job, contact=contact
    ).first()
    if link is None:
        link = SecretLink(firm_id=by.firm_id, purpose=purpose, person=person, job=job, contact=contact, version=0)
    if link.pk is None or not is_working(link, now):
        _renew(link, now)
    return link, token_of(link)


@transaction.atomic
def rotate_link(*, link: SecretLink, by: User, now: datetime) -> tuple[SecretLink, str]:
    """A new address for the same page or calendar; the old one is not found from now on."""
    require_office(by, link)
    link = SecretLink.objects.select_for_update().get(pk=link.pk)
    if not is_working(link, now):
        raise Refused("This link was switched off. Make a new one.")
    _renew(link, now)
    return link, token_of(link)


def revoke_link(*, link: SecretLink, by: User, now: datetime) -> None:
    """The page or calendar is not found from now on."""
    require_office(by, link)
    SecretLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=now)


def choose_options(
    *, link: SecretLink, shows_days_away: bool = False, shows_order: bool = False, alarm_minutes: int | None, by: User
) -> None:
    """What a calendar shows beside the work, whether it says what waits for what, and whether it reminds."""
    require_office(by, link)
    SecretLink.objects.filter(pk=link.pk).update(
        shows_days_away=shows_days_away, shows_order=shows_order, alarm_minutes=alarm_minutes
    )


def note_opened(*, link: SecretLink, now: datetime) -> None:
    """Remember that somebody opened it, to within a few minutes."""
    if link.last_used_at is None or now - link.last_used_at >= NOTED_EVERY:
        SecretLink.objects.filter(pk=link.pk).update(last_used_at=now)


def ensure_trade_links(*, contacts: list[Contact], now: datetime) -> None:
    """A page and a calendar for every contact who never had one; a link that was switched off stays off."""
    linked = SecretLink.objects.filter(purpose__in=TRADE_PURPOSES, contact__in=contacts)
    have = set(linked.values_list("contact_id", "purpose"))
    links = [
        SecretLink(firm_id=contact.firm_id, purpose=purpose, contact=contact, made_at=now)
        for contact in contacts
        for purpose in TRADE_PURPOSES
        if (contact.pk, purpose) not in have
    ]
    for link in links:
        link.token_hash = hash_token(token_of(link))
    SecretLink.objects.bulk_create(links)


def is_working(link: SecretLink, now: datetime) -> bool:
    return link.revoked_at is None and (link.expires_at is None or link.expires_at > now)


def _renew(link: SecretLink, now: datetime) -> None:
    link.version += 1
    link.made_at, link.revoked_at, link.expires_at, link.last_used_at = now, None, None, None
    link.token_hash = ""  # so that the newest secret key makes the token
    link.token_hash = hash_token(token_of(link))
    link.save()

"""Who of a firm can sign in: people of the office, and phones."""

from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from jobs.models import Device, Firm, Role, User

UNUSED_LASTS = timedelta(days=30)
"""A phone nobody uses any more lets nobody in who finds it."""


def list_colleagues(firm: Firm) -> QuerySet[User]:
    """The office's people, those who are let in first."""
    return User.objects.filter(firm=firm, role=Role.OFFICE).order_by("-is_active", "first_name", "username")


def list_phones(firm: Firm, now: datetime) -> QuerySet[Device]:
    """Every phone that may come in, the last seen first."""
    return Device.objects.filter(may_come_in(now), firm=firm).select_related("user__person")


def may_come_in(now: datetime, device: str = "") -> Q:
    """Of a device, or of whatever leads to it by `device` ("user__devices__")."""
    live = {"revoked_at": None, "expires_at__gt": now, "last_seen_at__gt": now - UNUSED_LASTS}
    return Q(**{device + name: value for name, value in live.items()})

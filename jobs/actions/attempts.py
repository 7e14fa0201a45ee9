"""Limits on trying: guesses at a code, or a script that never stops sending."""

from datetime import datetime, timedelta
from hashlib import sha256

from django.db import transaction

from jobs.actions.permission import Refused
from jobs.models import AttemptCount

KEPT_FOR = timedelta(days=1)


class TooOften(Refused):
    """Tried more often than allowed; it works again once the window is over."""


def count_attempt(*, what: str, who: str, most: int, window: timedelta, now: datetime) -> None:
    """Count one try of `what` by `who`; refuse it when `most` were made in this window already."""
    with transaction.atomic():
        row, is_new = AttemptCount.objects.select_for_update().get_or_create(
            key=_key(what, who), defaults={"window_starts_at": now}
        )
        if is_new:
            AttemptCount.objects.filter(window_starts_at__lt=now - KEPT_FOR).delete()
        if now - row.window_starts_at >= window:
            row.window_starts_at, row.attempts = now, 0
        if row.attempts >= most:
            raise TooOften(f"Too many tries. Wait {_in_words(window)}, then try again.")
        row.attempts += 1
        row.save()


def forget_attempts(*, what: str, who: str) -> None:
    AttemptCount.objects.filter(key=_key(what, who)).delete()


def _key(what: str, who: str) -> str:
    return sha256(f"{what}:{who}".encode()).hexdigest()


def _in_words(window: timedelta) -> str:
    minutes = round(window.total_seconds() / 60)
    return "a minute" if minutes <= 1 else f"{minutes} minutes"

"""Limits on trying: guesses at a code, or a script that never stops sending."""

from datetime import datetime, timedelta
from hashlib import sha256

from django.db.models import Case, F, Q, When

from jobs.actions.permission import Refused
from jobs.models import AttemptCount

KEPT_FOR = timedelta(days=1)


class TooOften(Refused):
    """Tried more often than allowed; it works again once the window is over."""


def count_attempt(*, what: str, who: str, most: int, window: timedelta, now: datetime) -> None:
    """Count one try of `what` by `who`; refuse it when `most` were made in this window already."""
    key, since = _key(what, who), now - window
    if not (_count(key, most, since, now) or _begin(key, now) or _count(key, most, since, now)):
        raise TooOften(f"Too many tries. Wait {_in_words(window)}, then try again.")


def _count(key: str, most: int, since: datetime, now: datetime) -> bool:
    """In one statement, so that nobody waits; False when there is nothing to add to, or no more is allowed."""
    is_over = Q(window_starts_at__lte=since)
    rows = AttemptCount.objects.filter(is_over | Q(attempts__lt=most), key=key)
    return bool(rows.update(
        attempts=Case(When(is_over, then=1), default=F("attempts") + 1),
        window_starts_at=Case(When(is_over, then=now), default=F("window_starts_at")),
    ))


def _begin(key: str, now: datetime) -> bool:
    """The first try; False when there was one, by now perhaps beside this one."""
    _, is_new = AttemptCount.objects.get_or_create(key=key, defaults={"window_starts_at": now, "attempts": 1})
    if is_new:
        AttemptCount.objects.filter(window_starts_at__lt=now - KEPT_FOR).delete()
    return is_new


def forget_attempts(*, what: str, who: str) -> None:
    AttemptCount.objects.filter(key=_key(what, who)).delete()


def _key(what: str, who: str) -> str:
    return sha256(f"{what}:{who}".encode()).hexdigest()


def _in_words(window: timedelta) -> str:
    minutes = round(window.total_seconds() / 60)
    return "a minute" if minutes <= 1 else f"{minutes} minutes"

"""How often a calendar may be fetched: counted by token in each process, so that a fetch writes nothing."""

from datetime import datetime
from hashlib import sha256

from django.core.cache import cache

MOST_FETCHES = 60
WINDOW_SECONDS = 600
"""Readers ask every few hours; several people's phones may share one address."""


def seconds_to_wait(token: str, now: datetime) -> int:
    """0 when this fetch is within the limit; else how long until fetches count anew."""
    window, elapsed = divmod(int(now.timestamp()), WINDOW_SECONDS)
    key = f"feed:{sha256(token.encode()).hexdigest()}:{window}"
    if cache.add(key, 1, WINDOW_SECONDS):
        return 0
    try:
        fetches = cache.incr(key)
    except ValueError:  # dropped meanwhile to make room
        return 0
    return WINDOW_SECONDS - elapsed if fetches > MOST_FETCHES else 0

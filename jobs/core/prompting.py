"""When somebody is reminded of a date, and when they are asked once more whether they can make it."""

from collections.abc import Sequence
from datetime import date, timedelta

from jobs.core.workdays import Calendar, days_between

MOST_CHASERS = 2
"""Whoever stays silent after that needs a call."""


def needs_reminder(calendar: Calendar, today: date, *, told_on: date, starts_on: date) -> bool:
    """Whether `today` is the working day before `starts_on`; not for a date told only today."""
    if not calendar.is_working(today) or told_on >= today or starts_on <= today:
        return False
    return not any(calendar.is_working(day) for day in days_between(today + timedelta(days=1), starts_on - timedelta(days=1)))


def needs_chasing(
    calendar: Calendar, today: date, *, told_on: date, chased_on: Sequence[date], starts_on: date, after_days: int
) -> bool:
    """Whether `after_days` working days have gone since a date was told, or last asked about; never for 0 days."""
    if not after_days or len(chased_on) >= MOST_CHASERS or not calendar.is_working(today) or starts_on <= today:
        return False
    since = max([told_on, *chased_on]) + timedelta(days=1)
    return sum(calendar.is_working(day) for day in days_between(since, today)) >= after_days

"""What a week's work will not find in the stores."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.models import Firm, Plan
from jobs.queries.firm_calendar import local_today
from jobs.queries.stock import ShortageRow, list_shortages


@dataclass(frozen=True)
class WeekShortage:
    """A shortage, and whether ordering now is too late for the plan."""

    row: ShortageRow
    is_missed: bool


def list_week_shortages(firm: Firm, plan: Plan | None, monday: date, now: datetime) -> list[WeekShortage]:
    """Shortages that bite in the week from `monday` on, unless that week is over."""
    today = local_today(firm, now)
    if plan is None or monday + timedelta(days=7) <= today:
        return []
    rows = list_shortages(firm, plan, now, until=monday + timedelta(days=6))
    return [WeekShortage(row, row.is_missed(now)) for row in rows if _is_within(row.needed_on, monday)]


def _is_within(needed_on: date | None, monday: date) -> bool:
    return needed_on is not None and monday <= needed_on < monday + timedelta(days=7)

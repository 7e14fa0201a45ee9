"""The firm's working days and its clock."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from jobs.core.quiet import QuietHours
from jobs.core.stages import Half
from jobs.core.workdays import Calendar, bank_holidays
from jobs.models import CalendarDay, Firm


def load_calendar(firm: Firm, today: date) -> Calendar:
    """The firm's working days, with its own open and closed days from a year before `today` on."""
    days = list(CalendarDay.objects.filter(firm=firm, on__gte=today - timedelta(days=366)))
    return Calendar(
        region=firm.holiday_region,
        morning=(firm.morning_starts, firm.morning_ends),
        afternoon=(firm.afternoon_starts, firm.afternoon_ends),
        closed={day.on: day.name for day in days if not day.is_working},
        opened={day.on: day.name for day in days if day.is_working},
    )


def quiet_hours(firm: Firm) -> QuietHours:
    """When messages about dates stay in."""
    return QuietHours(
        firm.quiet_from, firm.quiet_until, firm.has_quiet_days, firm.holiday_region, ZoneInfo(firm.zone)
    )


def list_own_days(firm: Firm, today: date) -> QuerySet[CalendarDay]:
    """Days still to come on which the firm works otherwise."""
    return CalendarDay.objects.filter(firm=firm, on__gte=today)


def list_bank_holidays(firm: Firm, today: date) -> list[tuple[date, str, bool]]:
    """The next twelve months' bank holidays in the firm's region: day, name, whether the firm works all the same."""
    calendar, last_on = load_calendar(firm, today), today + timedelta(days=365)
    found = {**bank_holidays(firm.holiday_region, today.year), **bank_holidays(firm.holiday_region, last_on.year)}
    return [(on, found[on], calendar.is_working(on)) for on in sorted(found) if today <= on <= last_on]


def local_today(firm: Firm, now: datetime) -> date:
    return now.astimezone(ZoneInfo(firm.zone)).date()


def next_session(firm: Firm, now: datetime) -> tuple[date, Half]:
    """The session that is running, or comes next, by the firm's clock."""
    local = now.astimezone(ZoneInfo(firm.zone))
    if local.time() < firm.morning_ends:
        return local.date(), Half.MORNING
    if local.time() < firm.afternoon_ends:
        return local.date(), Half.AFTERNOON
    return local.date() + timedelta(days=1), Half.MORNING

from datetime import date
from zoneinfo import ZoneInfo

from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_date


def today_of(request: HttpRequest) -> date:
    """Today where the signed-in person's firm is."""
    return timezone.localdate(timezone=ZoneInfo(request.user.firm.zone))


def parse_day(words: str | None) -> date | None:
    """A day in an address, year first; None when it is none."""
    try:
        return parse_date(words or "")
    except ValueError:
        return None

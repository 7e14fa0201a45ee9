from datetime import date
from zoneinfo import ZoneInfo

from django.http import HttpRequest
from django.utils import timezone


def today_of(request: HttpRequest) -> date:
    """Today where the signed-in person's firm is."""
    return timezone.localdate(timezone=ZoneInfo(request.user.firm.zone))

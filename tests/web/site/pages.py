"""What tests of the pages on site make, and read of a page."""

import re
from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from jobs.models import Booking, RoomTask


def make_task(package, room, code: str = "sockets", text: str = "Sockets × 4", hours: float = 4, **fields) -> RoomTask:
    return RoomTask.objects.create(
        firm_id=package.firm_id, package=package, room=room, code=code, text=text, labour_hours=hours, **fields
    )


def book(plan, person, package, half: str = "am", days: int = 0) -> Booking:
    on = timezone.localdate() + timedelta(days=days)
    return Booking.objects.create(
        firm_id=plan.firm_id, plan=plan, person=person, package=package, on=on, half=half, hours=4
    )


def text(response) -> str:
    return re.sub(r"\s+", " ", response.content.decode())


def today_page(phone) -> str:
    return text(phone.get(reverse("today")))


def room_page(phone, room) -> str:
    return text(phone.get(reverse("site_room", args=[room.pk])))

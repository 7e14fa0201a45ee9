"""The morning message and the evening summary as pages: how they would read now, and which left."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.actions.day_messages import evening_text, morning_text
from jobs.models import Person
from jobs.queries.day_messages import find_next_booked_day, list_sent, load_evening, load_morning
from jobs.web.access import office_only
from jobs.web.clock import today_of
from jobs.web.getters import get_own_firm, get_own_or_404


@office_only
@require_GET
def morning_message(request: HttpRequest, pk: int) -> HttpResponse:
    """Of the person's next booked day, today's included."""
    person = get_own_or_404(request, Person, pk, "firm")
    on = find_next_booked_day(person, today_of(request))
    message = load_morning(person, on, timezone.now()) if on else None
    page = {
        "person": person, "firm": person.firm, "on": on, "subject": message.subject if message else "",
        "text": morning_text(message) if message else "", "sent": list_sent(person.firm, person),
    }
    return render(request, "office/morning_message.html", page)


@office_only
@require_GET
def evening_summary(request: HttpRequest) -> HttpResponse:
    firm, today = get_own_firm(request), today_of(request)
    summary = load_evening(firm, today, timezone.now())
    page = {
        "firm": firm, "on": today, "subject": summary.subject if summary else "",
        "text": evening_text(summary) if summary else "", "sent": list_sent(firm),
    }
    return render(request, "office/evening_summary.html", page)

"""Calendars of days away: read, looked at, taken in, removed."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.actions.absence_sources import accept_source, keep_source, remove_source
from jobs.models import AbsenceSource, Person
from jobs.queries.absence_sources import load_preview
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.people import AbsenceSourceForm
from jobs.web.getters import get_own_or_404, get_person_or_404


@office_only
@require_http_methods(["GET", "POST"])
def add_absence_source(request: HttpRequest, pk: int) -> HttpResponse:
    someone = get_person_or_404(request, pk)
    form = AbsenceSourceForm(request.POST or None, request.FILES or None)
    kept: list[AbsenceSource] = []
    if carry_out(form, lambda: kept.append(_keep(request, someone, form))):
        return redirect("absence_source", kept[0].pk)
    page = {"person": someone, "form": form}
    return render(request, "office/crew_calendar.html", page, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "POST"])
def absence_source(request: HttpRequest, pk: int) -> HttpResponse:
    """What was read of a calendar; POST lets it count."""
    source = get_own_or_404(request, AbsenceSource, pk, "person", "firm")
    form = forms.Form(request.POST if request.method == "POST" else None)
    if carry_out(form, lambda: accept_source(source=source, by=request.user, now=timezone.now())):
        messages.success(request, "Taken in. Plan again to see what it moves.")
        return redirect("person", source.person_id)
    preview = load_preview(source, today_of(request))
    page = {"source": source, "person": source.person, "preview": preview, "form": form}
    return render(request, "office/crew_calendar_preview.html", page, status=422 if form.errors else 200)


@office_only
@require_POST
def remove_absence_source(request: HttpRequest, pk: int) -> HttpResponse:
    source = get_own_or_404(request, AbsenceSource, pk)
    remove_source(source=source, by=request.user, now=timezone.now())
    messages.success(request, "Removed, with every absence read from it.")
    return redirect("person", source.person_id)


def _keep(request: HttpRequest, someone: Person, form: AbsenceSourceForm) -> AbsenceSource:
    data = form.cleaned_data
    raw = data["calendar_file"].read() if data["calendar_file"] else b""
    return keep_source(
        person=someone, name=data["name"], kind=data["kind"], raw=raw, address=data["calendar_address"], by=request.user,
        now=timezone.now(),
    )

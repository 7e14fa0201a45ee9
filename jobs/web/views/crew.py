"""The crew's pages in the office: people, absences, college days, phones."""

import segno
from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import devices, people
from jobs.actions.permission import Refused
from jobs.core.ages import is_under_18
from jobs.models import Absence, DayRelease, Device, Person
from jobs.queries.absence_sources import list_sources
from jobs.queries.people import count_later_absences, list_absences, list_college_days, list_devices, list_whereabouts
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.clock import today_of
from jobs.web.forms.people import AbsenceForm, CollegeDayForm, PersonForm
from jobs.web.getters import get_own_or_404, get_person_or_404

COLLEGE_IDS = "college_%s"
"""Its days stand on one page with those of an absence."""


@office_only
@require_GET
def crew(request: HttpRequest) -> HttpResponse:
    today = today_of(request)
    rows = list_whereabouts(request.user.firm, today, timezone.now())
    return render(request, "office/crew.html", {"rows": rows, "today": today})


@office_only
@require_http_methods(["GET", "POST"])
def add_person(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST or None)
    added: list[Person] = []
    if carry_out(form, lambda: added.append(
        people.add_person(firm=request.user.firm, details=form.cleaned_data, by=request.user, now=timezone.now())
    )):
        return redirect("person", added[0].pk)
    return render(request, "office/crew_add.html", {"form": form}, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    someone = get_person_or_404(request, pk)
    form = PersonForm(request.POST or None, instance=get_person_or_404(request, pk))
    if carry_out(form, lambda: people.edit_person(
        person=someone, details=form.cleaned_data, by=request.user, now=timezone.now()
    )):
        messages.success(request, "Saved.")
        return redirect("person", pk)
    return _person_page(request, get_person_or_404(request, pk), form=form)


@office_only
@require_POST
def add_absence(request: HttpRequest, pk: int) -> HttpResponse:
    someone, form = get_person_or_404(request, pk), AbsenceForm(request.POST)
    if carry_out(form, lambda: people.add_absence(
        person=someone, **form.cleaned_data, by=request.user, now=timezone.now()
    )):
        messages.success(request, "Absence added. Plan again to see what it moves.")
        return redirect("person", pk)
    return _person_page(request, someone, absence_form=form)


@office_only
@require_POST
def remove_absence(request: HttpRequest, pk: int) -> HttpResponse:
    absence = get_own_or_404(request, Absence, pk)
    press(request, lambda: people.remove_absence(absence=absence, by=request.user, now=timezone.now()), "Absence removed.")
    return redirect("person", absence.person_id)


@office_only
@require_POST
def add_college_day(request: HttpRequest, pk: int) -> HttpResponse:
    someone, form = get_person_or_404(request, pk), CollegeDayForm(request.POST, auto_id=COLLEGE_IDS)
    if carry_out(form, lambda: people.add_college_day(
        person=someone, **form.cleaned_data, by=request.user, now=timezone.now()
    )):
        messages.success(request, "College day added. Plan again to see what it moves.")
        return redirect("person", pk)
    return _person_page(request, someone, college_form=form)


@office_only
@require_POST
def remove_college_day(request: HttpRequest, pk: int) -> HttpResponse:
    day_release = get_own_or_404(request, DayRelease, pk)
    people.remove_college_day(day_release=day_release, by=request.user, now=timezone.now())
    messages.success(request, "College day removed.")
    return redirect("person", day_release.person_id)


@never_cache
@office_only
@require_POST
def make_sign_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Shows link and code once: they are in this answer and nowhere else."""
    someone = get_person_or_404(request, pk)
    try:
        sign_in = devices.make_sign_in(person=someone, by=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("person", pk)
    address = f"{request.build_absolute_uri(reverse('sign_in_link'))}#{sign_in.token}"
    qr = segno.make(address, error="m").svg_data_uri(scale=6, border=4, dark="#1b2124", light="#ffffff")
    code = f"{sign_in.code[:4]} {sign_in.code[4:]}"
    page = {"person": someone, "qr": qr, "address": address, "code": code, "expires_at": sign_in.expires_at}
    return render(request, "office/crew_sign_in.html", page)


@office_only
@require_POST
def revoke_device(request: HttpRequest, pk: int) -> HttpResponse:
    device = get_own_or_404(request, Device, pk, "user")
    devices.revoke_device(device=device, by=request.user, now=timezone.now())
    messages.success(request, f"{device.name} is signed out. What it had not sent yet waits on the phone.")
    return redirect("person", device.user.person_id)


def _person_page(
    request: HttpRequest, someone: Person, *, form: Form | None = None, absence_form: Form | None = None,
    college_form: Form | None = None,
) -> HttpResponse:
    today, now = today_of(request), timezone.now()
    forms = {
        "form": form or PersonForm(instance=someone),
        "absence_form": absence_form or AbsenceForm(initial={"starts_on": today, "ends_on": today}),
        "college_form": college_form or CollegeDayForm(initial={"starts_on": today}, auto_id=COLLEGE_IDS),
    }
    page = forms | {
        "person": someone,
        "is_under_18": is_under_18(someone.born_on, today),
        "absences": list_absences(someone, today),
        "later_absences": count_later_absences(someone, today),
        "sources": list_sources(someone),
        "college_days": list_college_days(someone, today),
        "devices": list_devices(someone, now),
    }
    is_wrong = any(part.errors for part in forms.values())
    return render(request, "office/crew_person.html", page, status=422 if is_wrong else 200)

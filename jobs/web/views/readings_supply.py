"""What is read at the origin, typed in the office; and letting power on although readings are missing or out."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.actions import power
from jobs.actions import readings as actions
from jobs.actions.permission import Refused
from jobs.core.electrics.under_test import WhenTested
from jobs.models import Job, User
from jobs.queries.circuits import load_schedule
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.readings import SupplyReadingsForm
from jobs.web.getters import get_job_or_404
from jobs.web.views.readings import WORDS, taken_from


@office_only
@require_http_methods(["GET", "POST"])
def enter_supply(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    lines = load_schedule(job).supply_sheet.lines
    form = SupplyReadingsForm(request.POST or None, job=job, lines=lines, initial={"tested_on": today_of(request)})
    if carry_out(form, lambda: _record(form, job, request.user)):
        messages.success(request, "Kept the readings of the supply; every check follows them.")
        return redirect(reverse("job_readings", args=[job_pk]) + "#supply")
    page = WORDS | {"job": job, "heading": "Supply", "under": "Read at the origin, live", "form": form}
    return render(request, "office/readings_enter.html", page, status=422 if form.errors else 200)


@office_only
@require_POST
def let_power_on(request: HttpRequest, job_pk: int) -> HttpResponse:
    job, keys = get_job_or_404(request, job_pk), request.POST.getlist("keys")
    try:
        given = power.let_power_on(
            job=job, keys=keys, reason=request.POST.get("reason", "")[:300], by=request.user, now=timezone.now()
        )
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"Power may go on: {', '.join(row.of_what for row in given)}. The reason stays with the job.")
    return redirect(reverse("job_readings", args=[job_pk]) + "#power")


def _record(form: SupplyReadingsForm, job: Job, by: User) -> None:
    now = timezone.now()
    taken = taken_from(form, job, WhenTested.END, now)
    actions.record_supply(job=job, written=form.written, taken=taken, by=by, now=now)

"""A job's readings in the office: what stands and what it says, and typing readings in."""

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from jobs.actions import readings as actions
from jobs.core.cautions import LIVE_TESTS, SAFE_ISOLATION
from jobs.core.electrics.rules import CAUTION, EDITION_NOTE
from jobs.core.electrics.under_test import WhenTested
from jobs.models import Circuit, Job, User
from jobs.queries.circuits import load_schedule
from jobs.queries.power_gate import list_power_holds, list_power_overrides
from jobs.queries.readings import Sheet, list_instruments, load_sheets
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.readings import ReadingsForm, TakenForm
from jobs.web.getters import get_job_or_404, get_of_job_or_404

WORDS = {"edition_note": EDITION_NOTE, "caution": CAUTION, "cautions": [SAFE_ISOLATION, LIVE_TESTS]}


@office_only
@require_GET
def job_readings(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    schedule = load_schedule(job)
    sheets = {when: load_sheets(job, when, schedule) for when in WhenTested}
    supply, overrides = schedule.supply_sheet, list_power_overrides(job)
    page = WORDS | {
        "job": job, "times": list(sheets.items()), "schedule": schedule, "supply": supply, "overrides": overrides,
        "power_holds": list_power_holds(supply, sheets[WhenTested.END], overrides),
        "has_instruments": list_instruments(job.firm_id).exists(), "is_closed": job.state in actions.CLOSED,
    }
    return render(request, "office/readings.html", page)


@office_only
@require_http_methods(["GET", "POST"])
def enter_readings(request: HttpRequest, job_pk: int, pk: int, when: str) -> HttpResponse:
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk, "job__firm")
    sheet = sheet_or_404(circuit, when)
    initial = {"tested_on": today_of(request), "test_volts": sheet.tested.test_volts}
    form = ReadingsForm(request.POST or None, job=circuit.job, lines=sheet.lines, initial=initial)
    if carry_out(form, lambda: _record(form, sheet, request.user)):
        messages.success(request, f"Kept the readings of {circuit.reference}.")
        return redirect(reverse("job_readings", args=[job_pk]) + f"#{when}-{pk}")
    page = WORDS | {"job": circuit.job, "heading": str(circuit), "under": sheet.when.label, "form": form}
    return render(request, "office/readings_enter.html", page, status=422 if form.errors else 200)


def when_or_404(when: str) -> WhenTested:
    if when not in set(WhenTested):
        raise Http404
    return WhenTested(when)


def taken_from(form: TakenForm, job: Job, when: WhenTested, now: datetime) -> actions.Taken:
    data = form.cleaned_data
    at = actions.moment_of(job, data["tested_on"], now)
    return actions.Taken(when, data["tested_by"], at, data["instrument"], data.get("test_volts", 500), data["note"])


def _record(form: ReadingsForm, sheet: Sheet, by: User) -> None:
    now = timezone.now()
    taken = taken_from(form, sheet.circuit.job, sheet.when, now)
    actions.record_readings(circuit=sheet.circuit, written=form.written, taken=taken, by=by, now=now)


def sheet_or_404(circuit: Circuit, when: str) -> Sheet:
    sheets = load_sheets(circuit.job, when_or_404(when))
    sheet = next((sheet for sheet in sheets if sheet.circuit.pk == circuit.pk), None)
    if sheet is None:
        raise Http404
    return sheet

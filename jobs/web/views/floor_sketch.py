"""The floor sketch of a job: rooms, points and the routes of circuits, and lengths put right."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import circuit_lengths
from jobs.actions.permission import Refused
from jobs.models import Circuit, Job
from jobs.queries.floor_sketch import load_sketch
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.forms.survey import LengthForm
from jobs.web.getters import get_job_or_404, get_of_job_or_404


@office_only
@require_GET
def floor_sketch(request: HttpRequest, job_pk: int) -> HttpResponse:
    return _sketch_page(request, get_job_or_404(request, job_pk), request.GET.get("circuit", ""))


@office_only
@require_POST
def correct_length(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit, form = get_of_job_or_404(request, Circuit, job_pk, pk), LengthForm(request.POST)
    now = timezone.now()
    if carry_out(
        form, lambda: circuit_lengths.correct_length(circuit=circuit, **form.cleaned_data, by=request.user, now=now)
    ):
        messages.success(request, f"{circuit.reference} counts as {form.cleaned_data['cable_metres']} m from now on.")
        return redirect(_address(circuit))
    return _sketch_page(request, circuit.job, circuit.reference, form)


@office_only
@require_POST
def take_back_length(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk)
    try:
        circuit_lengths.take_back_length(circuit=circuit, by=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{circuit.reference} counts as worked out again.")
    return redirect(_address(circuit))


def _sketch_page(request: HttpRequest, job: Job, reference: str, form: LengthForm | None = None) -> HttpResponse:
    sketch = load_sketch(job, reference=reference, level=_level(request.GET.get("floor", "")))
    page = {"job": job, "sketch": sketch, "form": form or LengthForm()}
    return render(request, "office/floor_sketch.html", page, status=422 if form else 200)


def _level(text: str) -> int | None:
    digits = text.removeprefix("-")
    return int(text) if digits.isdecimal() and len(digits) < 4 else None


def _address(circuit: Circuit) -> str:
    return f"{reverse('floor_sketch', args=[circuit.job_id])}?{urlencode({'circuit': circuit.reference})}#circuit"

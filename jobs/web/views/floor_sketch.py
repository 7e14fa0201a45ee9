"""The floor sketch of a job: rooms, points and the routes of circuits, and lengths put right."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import circuit_lengths
from jobs.models import Circuit, Item, Job
from jobs.queries.floor_sketch import SketchPage, load_sketch
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.forms.survey import LengthForm
from jobs.web.getters import get_item_or_404, get_job_or_404, get_of_job_or_404


@office_only
@require_GET
def floor_sketch(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    sketch = load_sketch(job, reference=request.GET.get("circuit", ""), level=_level(request.GET.get("floor", "")))
    return _sketch_page(request, job, sketch, _form(sketch))


@office_only
@require_POST
def correct_length(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit, now = get_of_job_or_404(request, Circuit, job_pk, pk), timezone.now()
    sketch = load_sketch(circuit.job, reference=circuit.reference)
    form = _form(sketch, request.POST)
    if carry_out(
        form, lambda: circuit_lengths.correct_length(circuit=circuit, **form.cleaned_data, by=request.user, now=now)
    ):
        name = _cable_name(circuit, form.cleaned_data["branch_cable"])
        messages.success(request, f"{name} counts as {form.cleaned_data['cable_metres']} m from now on.")
        return redirect(_address(circuit))
    return _sketch_page(request, circuit.job, sketch, form)


@office_only
@require_POST
def take_back_length(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit, given = get_of_job_or_404(request, Circuit, job_pk, pk), request.POST.get("branch_cable", "")
    cable = get_item_or_404(request, int(given)) if given.isdecimal() else None
    press(
        request,
        lambda: circuit_lengths.take_back_length(circuit=circuit, by=request.user, now=timezone.now(), branch_cable=cable),
        f"{_cable_name(circuit, cable)} counts as worked out again.",
    )
    return redirect(_address(circuit))


def _form(sketch: SketchPage, given: QueryDict | None = None) -> LengthForm:
    shown = sketch.shown
    own, branches = (shown.cable, [item for item, _ in shown.branches]) if shown else (None, ())
    return LengthForm(given, own=own, branches=branches)


def _sketch_page(request: HttpRequest, job: Job, sketch: SketchPage, form: LengthForm) -> HttpResponse:
    page = {"job": job, "sketch": sketch, "form": form}
    return render(request, "office/floor_sketch.html", page, status=422 if form.is_bound else 200)


def _cable_name(circuit: Circuit, branch_cable: Item | None) -> str:
    return f"{branch_cable.name} of {circuit.reference}" if branch_cable else circuit.reference


def _level(text: str) -> int | None:
    digits = text.removeprefix("-")
    return int(text) if digits.isdecimal() and len(digits) < 4 else None


def _address(circuit: Circuit) -> str:
    return f"{reverse('floor_sketch', args=[circuit.job_id])}?{urlencode({'circuit': circuit.reference})}#circuit"

"""The circuit schedule of a job, one circuit with its checks, and what would be if."""

from django.contrib import messages
from django.forms import BaseForm, BaseFormSet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers

from jobs.actions import circuits
from jobs.core.electrics.rule_book import every_rule
from jobs.core.electrics.rules import CAUTION, EDITION_NOTE
from jobs.models import Circuit, HouseSupply, Job
from jobs.queries.circuits import find_design, find_row, list_flat_cables, load_schedule, try_on_row
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.forms.circuits import DesignForm, PartFormSet, SupplyForm, WhatIfForm, list_parts
from jobs.web.getters import get_job_or_404, get_of_job_or_404

BESIDE_DESIGN = "what-if-%s"
"""Ids of a form that stands on one page with another that asks the same."""
WORDS = {"edition_note": EDITION_NOTE, "caution": CAUTION}


@office_only
@require_GET
def circuit_schedule(request: HttpRequest, job_pk: int) -> HttpResponse:
    return _schedule_page(request, get_job_or_404(request, job_pk))


@office_only
@require_POST
def describe_supply(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    form = SupplyForm(request.POST, instance=HouseSupply(firm_id=job.firm_id, job=job))
    if carry_out(form, lambda: circuits.describe_supply(job=job, details=form.cleaned_data, by=request.user)):
        messages.success(request, "The supply is kept; every check follows it.")
        return redirect("circuit_schedule", job.pk)
    return _schedule_page(request, job, form)


@office_only
@require_GET
@vary_on_headers("HX-Request")
def circuit_design(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    """One circuit; its query says what is tried, and a fragment answers with that alone."""
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk, "cable")
    form = WhatIfForm(request.GET or None, auto_id=BESIDE_DESIGN)
    return _circuit_page(request, circuit, what_if_form=form)


@office_only
@require_POST
def describe_circuit(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit = get_of_job_or_404(request, Circuit, job_pk, pk, "cable")
    form, parts = DesignForm(request.POST), PartFormSet(request.POST, prefix="parts")
    if parts.is_valid() and carry_out(
        form, lambda: circuits.describe_circuit(
            circuit=circuit, details=form.cleaned_data, parts=list_parts(parts), by=request.user
        )
    ):
        messages.success(request, f"{circuit.reference} is kept; its checks follow.")
        return redirect("circuit_design", job_pk, pk)
    return _circuit_page(request, circuit, form=form, parts=parts)


@office_only
@require_POST
def use_what_if(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    circuit, form = get_of_job_or_404(request, Circuit, job_pk, pk, "cable"), WhatIfForm(request.POST, auto_id=BESIDE_DESIGN)
    if carry_out(form, lambda: _use(request, circuit, form)):
        messages.success(request, f"{circuit.reference} is changed as tried. Take-off and orders follow the survey.")
        return redirect("circuit_design", job_pk, pk)
    return _circuit_page(request, circuit, what_if_form=form, status=422)


@office_only
@require_GET
def rule_list(request: HttpRequest) -> HttpResponse:
    """Every row a figure can come from."""
    return render(request, "office/circuits_rules.html", WORDS | {"rules": every_rule().values()})


def _use(request: HttpRequest, circuit: Circuit, form: WhatIfForm) -> None:
    given = form.what_if
    cable = next((item for item in list_flat_cables(circuit.firm_id) if item.live_mm2 == given.live_mm2), None)
    circuits.use_what_if(circuit=circuit, given=given, cable=cable, by=request.user, now=timezone.now())


def _schedule_page(request: HttpRequest, job: Job, form: SupplyForm | None = None) -> HttpResponse:
    schedule = load_schedule(job)
    page = WORDS | {"job": job, "schedule": schedule, "form": form or SupplyForm(instance=schedule.supply_row)}
    return render(request, "office/circuits.html", page, status=422 if form else 200)


def _circuit_page(
    request: HttpRequest, circuit: Circuit, *, form: BaseForm | None = None, parts: BaseFormSet | None = None,
    what_if_form: WhatIfForm | None = None, status: int = 200,
) -> HttpResponse:
    schedule = load_schedule(circuit.job)
    row, trial = find_row(schedule, circuit), what_if_form or WhatIfForm(auto_id=BESIDE_DESIGN)
    page = WORDS | {"job": circuit.job, "row": row, "what_if_form": trial} | _tried(row, trial)
    if request.htmx:
        return render(request, "office/_circuits_what_if.html", page, status=422 if trial.errors else 200)
    design = find_design(circuit)
    page |= {
        "form": form or DesignForm(instance=design),
        "parts": parts or PartFormSet(prefix="parts", initial=list(design.parts.values()) if design else []),
    }
    return render(request, "office/circuits_circuit.html", page, status=422 if form else status)


def _tried(row: object, form: WhatIfForm) -> dict[str, object]:
    """Today's circuit and the tried one, check beside check; nothing where nothing is tried."""
    if not form.is_bound or not form.is_valid() or form.what_if.is_empty:
        return {"tried": None}
    tried = try_on_row(row, form.what_if)
    after = {check.code: check for check in tried.checks}
    before = {check.code: check for check in row.checks}
    pairs = [(before.get(code), after.get(code)) for code in dict.fromkeys((*before, *after))]
    return {"tried": tried, "pairs": pairs}

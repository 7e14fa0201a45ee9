"""Stores by job: what it still needs, what that costs, and its cut list."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods
from django.views.decorators.vary import vary_on_headers

from jobs.core.cutting.changes import tell_changes
from jobs.queries.actual_use import load_use
from jobs.queries.cut_sheets import SECONDS_PER_CABLE, has_cable_to_pull, load_best_sheets, load_quick_sheets, load_sheet
from jobs.queries.drums import load_drum
from jobs.queries.needs import find_last_need, load_needs
from jobs.queries.prices import load_job_cost
from jobs.queries.stock import find_next_cut_off, load_stores_until
from jobs.queries.stores_page import list_needs
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.forms.stock import MeasureDrum
from jobs.web.getters import get_job_or_404, get_labelled_drum_or_404
from jobs.web.unchanged import Page, render_unchanged
from jobs.web.views.stores import chosen_plan


@office_only
@require_GET
def job_materials(request: HttpRequest, pk: int) -> HttpResponse:
    return render_unchanged(request, partial(_materials_page, request, pk))


def _materials_page(request: HttpRequest, pk: int) -> Page:
    """Whether it is too late to order changes with each cut-off of the day."""
    job, now = get_job_or_404(request, pk), timezone.now()
    plan = chosen_plan(request)
    stock = load_stores_until(job.firm, plan, now, find_last_need(job, plan))
    rows = list_needs(stock, load_needs(stock.firm, plan, job), job)
    page = {"job": job, "rows": rows, "now": now, "used": load_use(job), "cost": load_job_cost(job, now)}
    return Page("office/stores_job.html", page, until=find_next_cut_off(job.firm, now))


@office_only
@require_GET
@vary_on_headers("HX-Request")
def cut_list(request: HttpRequest, pk: int) -> HttpResponse:
    """At once what is quickly found; the page then asks for the best, which takes some seconds."""
    job = get_job_or_404(request, pk)
    is_best = request.GET.get("cuts") == "best"
    sheets = load_best_sheets(job) if is_best else load_quick_sheets(job)
    page = {"job": job, "sheets": sheets, "is_best": is_best, "is_open": has_cable_to_pull(job)}
    name = "_stores_cuts" if request.htmx and request.htmx.target == "cuts" else "stores_cuts"
    return render(request, f"office/{name}.html", page)


@office_only
@require_http_methods(["GET", "POST"])
def recut(request: HttpRequest, pk: int) -> HttpResponse:
    """A drum turned out shorter, or longer, than its record: count it, cut anew in the way that was looked at, and say
    what that changes."""
    job = get_job_or_404(request, pk)
    drum = get_labelled_drum_or_404(request, request.GET.get("drum", ""))
    seconds = SECONDS_PER_CABLE if request.GET.get("cuts") == "best" else 0
    form = MeasureDrum(request.POST or None, thing=drum)
    before = load_sheet(job, drum.item, seconds=seconds) if form.is_valid() else None
    page = {"job": job, "drum": drum, "form": form, "row": load_drum(drum), "after": None, "changes": []}
    if carry_out(form, lambda: form.run(request.user, timezone.now())):
        after = load_sheet(job, drum.item, seconds=seconds)
        changes = tell_changes(before.cut_list, after.cut_list) if before and after else []
        page |= {"row": load_drum(drum), "after": after, "changes": changes}
    return render(request, "office/stores_recut.html", page, status=422 if form.errors else 200)

"""Stores by job and by day: what a job still needs, its cut list, and what goes on the vans."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from jobs.queries.actual_use import load_use
from jobs.queries.cut_sheets import has_cable_to_pull, load_best_sheets, load_quick_sheets
from jobs.queries.needs import load_needs
from jobs.queries.prices import load_job_cost
from jobs.queries.stores_page import list_needs
from jobs.queries.van_loads import load_van_lists, next_working_day
from jobs.web.access import office_only
from jobs.web.clock import parse_day
from jobs.web.getters import get_job_or_404
from jobs.web.views.stores import chosen_plan, stores_now


@office_only
@require_GET
def job_materials(request: HttpRequest, pk: int) -> HttpResponse:
    job, stock = get_job_or_404(request, pk), stores_now(request)
    rows = list_needs(stock, load_needs(stock.firm, chosen_plan(request), job), job)
    now = timezone.now()
    page = {"job": job, "rows": rows, "now": now, "used": load_use(job), "cost": load_job_cost(job, now)}
    return render(request, "office/stores_job.html", page)


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
@require_GET
def van_load(request: HttpRequest) -> HttpResponse:
    stock, plan = stores_now(request), chosen_plan(request)
    on = parse_day(request.GET.get("on")) or next_working_day(stock)
    page = {"on": on, "lists": load_van_lists(stock, plan, on), "plan": plan, "today": stock.today}
    return render(request, "office/stores_van.html", page)

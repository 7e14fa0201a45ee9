"""Jobs: the list, the form, and the steps a job takes."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import jobs as actions
from jobs.models import Job
from jobs.queries.jobs import count_past_jobs, list_job_cards
from jobs.queries.plans import find_draft, find_issued
from jobs.queries.readings_gate import list_end_holds
from jobs.queries.snags import list_open_snags
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.clock import today_of
from jobs.web.forms.jobs import HandOverForm, JobForm
from jobs.web.getters import get_job_or_404
from jobs.web.unchanged import Page, render_unchanged


@office_only
@require_GET
def job_list(request: HttpRequest) -> HttpResponse:
    return render_unchanged(request, partial(_job_list_page, request))


def _job_list_page(request: HttpRequest) -> Page:
    firm, are_current = request.user.firm, request.GET.get("show") != "past"
    plan = find_issued(firm) or find_draft(firm)
    page = {
        "cards": list_job_cards(firm, plan, today_of(request), are_current=are_current),
        "are_current": are_current,
        "past_count": count_past_jobs(firm),
        "plan": plan,
    }
    return Page("office/job_list.html", page)


@office_only
@require_http_methods(["GET", "POST"])
def add_job(request: HttpRequest) -> HttpResponse:
    form = JobForm(request.POST or None, firm=request.user.firm)
    added: list[Job] = []
    if carry_out(form, lambda: added.append(
        actions.add_job(firm=request.user.firm, details=form.cleaned_data, by=request.user)
    )):
        return redirect("survey", added[0].pk)
    return render(request, "office/job_form.html", {"form": form, "job": None}, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "POST"])
def edit_job(request: HttpRequest, pk: int) -> HttpResponse:
    job = get_job_or_404(request, pk)
    form = JobForm(request.POST or None, instance=get_job_or_404(request, pk), firm=request.user.firm)
    if carry_out(form, lambda: actions.edit_job(job=job, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Saved.")
        return redirect("job", pk)
    return render(request, "office/job_form.html", {"form": form, "job": job}, status=422 if form.errors else 200)


@office_only
@require_POST
def move_job(request: HttpRequest, pk: int) -> HttpResponse:
    job = get_job_or_404(request, pk)
    press(
        request, lambda: actions.move_job(job=job, state=request.POST.get("state", ""), by=request.user),
        lambda moved: f"{moved} is now: {moved.get_state_display().lower()}.",
    )
    return redirect("job", pk)


@office_only
@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, pk: int) -> HttpResponse:
    job, today = get_job_or_404(request, pk), today_of(request)
    form = HandOverForm(request.POST or None, initial={"finished_on": today})
    if carry_out(form, lambda: actions.hand_over(job=job, **form.cleaned_data, today=today, by=request.user)):
        messages.success(request, f"{job} is handed over.")
        return redirect("job", pk)
    page = {"form": form, "job": job, "snags": list_open_snags(job), "readings_held": list_end_holds(job)}
    return render(request, "office/job_hand_over.html", page, status=422 if form.errors else 200)

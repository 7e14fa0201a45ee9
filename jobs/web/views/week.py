"""This week, and the planner at work."""

from datetime import date, timedelta
from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST
from django.views.decorators.vary import vary_on_headers

from jobs.actions import planning
from jobs.actions.permission import Refused
from jobs.models import Plan, PlanRun
from jobs.queries.deadlines import list_week_deadlines
from jobs.queries.plan_age import list_news
from jobs.queries.plans import find_draft, find_held, find_issued, find_last_run, list_last_move, list_pins
from jobs.queries.stock import find_next_cut_off
from jobs.queries.week import has_planned_jobs, load_week, monday_of
from jobs.queries.week_shortages import list_week_shortages
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.clock import today_of
from jobs.web.forms.week import PlanAgainForm
from jobs.web.getters import get_own_or_404
from jobs.web.unchanged import Page, render_unchanged

WEEK_CHANGED = "week-changed"
"""The event that has an open week page fetch its week anew."""


@office_only
@require_GET
@vary_on_headers("HX-Request")
def week(request: HttpRequest) -> HttpResponse:
    return render_unchanged(request, partial(_week_page, request))


def _week_page(request: HttpRequest) -> Page:
    is_fragment, now = request.htmx and not request.htmx.history_restore_request, timezone.now()
    firm, today = request.user.firm, today_of(request)
    monday = monday_of(_asked_day(request) or today)
    draft, issued = find_draft(firm), find_issued(firm)
    shown = _shown_plan(request, draft, issued, monday, today)
    loaded = load_week(firm, shown, monday, today, issued=issued)
    shortages = list_week_shortages(firm, shown, monday, now)
    page = {
        "week": loaded,
        "today": today,
        "this_monday": monday_of(today),
        "draft": draft,
        "issued": issued,
        "plan": shown,
        "asked_plan": request.GET.get("plan", ""),
        "deadlines": list_week_deadlines(firm, monday, now),
        "shortages": shortages,
        "pins": list_pins(firm, today),
        "last_move": list_last_move(firm),
        "run": find_last_run(firm),
        "news": list_news(shown) if shown and monday >= monday_of(today) else [],
        "plan_form": PlanAgainForm(),
        "has_jobs": has_planned_jobs(firm),
    }
    until = find_next_cut_off(firm, now) if shortages else None
    return Page("office/_week.html" if is_fragment else "office/week.html", page, until=until)


def _asked_day(request: HttpRequest) -> date | None:
    try:
        asked = date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        return None
    return asked if date(2000, 1, 1) < asked < date(2200, 1, 1) else None


def _shown_plan(request: HttpRequest, draft: Plan | None, issued: Plan | None, monday: date, today: date) -> Plan | None:
    """The draft while there is one, unless the issued plan is asked for; a week gone by shows what people held."""
    if monday + timedelta(days=7) <= today:
        return find_held(request.user.firm, monday, today)
    return issued if issued and request.GET.get("plan") == "issued" else draft or issued


@office_only
@require_POST
def plan_again(request: HttpRequest) -> HttpResponse:
    form = PlanAgainForm(request.POST)
    if form.is_valid():
        try:
            run = planning.plan_again(
                firm=request.user.firm, by=request.user, seconds=form.cleaned_data["seconds"], now=timezone.now()
            )
        except Refused as refused:
            return _run_answer(request, find_last_run(request.user.firm), refused.message)
        return _run_answer(request, run)
    return _run_answer(request, find_last_run(request.user.firm), "Choose how long the planner may think.")


@office_only
@require_POST
def refresh_draft(request: HttpRequest) -> HttpResponse:
    press(
        request, lambda: planning.refresh_draft(firm=request.user.firm, by=request.user, now=timezone.now()),
        "The draft takes in what came since. Plan again to make it better.",
    )
    return redirect("week")


@office_only
@require_GET
def plan_run(request: HttpRequest, pk: int) -> HttpResponse:
    """How a run stands. `seen` is the version of the draft the page shows: it is told when there is a newer one."""
    run = get_own_or_404(request, PlanRun, pk, "asked_by", "plan")
    response = render(request, "office/_week_run.html", _run_page(run))
    if run.plan and request.GET.get("seen") != str(run.plan.version):
        response["HX-Trigger"] = WEEK_CHANGED
    return response


@office_only
@require_POST
def stop_run(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_own_or_404(request, PlanRun, pk, "asked_by", "plan")
    planning.stop_run(run=run, by=request.user)
    run.refresh_from_db()
    return _run_answer(request, run)


def _run_page(run: PlanRun | None, refusal: str = "") -> dict[str, object]:
    return {"run": run, "plan_form": PlanAgainForm(), "refusal": refusal}


def _run_answer(request: HttpRequest, run: PlanRun | None, refusal: str = "") -> HttpResponse:
    if request.htmx:
        return render(request, "office/_week_run.html", _run_page(run, refusal), status=409 if refusal else 200)
    if refusal:
        messages.error(request, refusal)
    return redirect("week")

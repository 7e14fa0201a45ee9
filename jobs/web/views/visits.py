"""One visit of another trade, in the office."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import visits
from jobs.actions.go_ahead import give_go_ahead as give
from jobs.actions.permission import Refused
from jobs.models import SuggestedDay, Visit
from jobs.queries.contacts import load_visit_row
from jobs.queries.go_ahead import load_gate
from jobs.queries.invitations import list_mail_answers, list_sent
from jobs.queries.suggestions import list_suggested, load_suggestions
from jobs.queries.told import find_told
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.trades import AgreedForm, FinishForm, GoAheadForm, PhoneAnswerForm, TurnDownForm, VisitForm
from jobs.web.getters import get_own_or_404, get_visit_or_404

PLAN_AGAIN = "Plan again to see what it moves."


@office_only
@require_GET
def visit(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, get_visit_or_404(request, pk))


@office_only
@require_POST
def assign_visit(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_visit_or_404(request, pk)
    form = VisitForm(request.POST, visit=known)
    return _act(
        request, known, form, lambda data: visits.assign_visit(visit=known, by=request.user, **data),
        f"Saved. {PLAN_AGAIN}", assign_form=form,
    )


@office_only
@require_POST
def record_answer(request: HttpRequest, pk: int) -> HttpResponse:
    known, form = get_visit_or_404(request, pk), PhoneAnswerForm(request.POST)
    told = find_told(known)
    if told is None:
        messages.error(request, "They were not told a date yet. Issue the plan first.")
        return redirect("visit", pk)
    return _act(
        request, known, form,
        lambda data: visits.record_answer(told=told, by=request.user, now=timezone.now(), **data),
        f"Answer written down. {PLAN_AGAIN}", answer_form=form,
    )


@office_only
@require_POST
def agree_visit(request: HttpRequest, pk: int) -> HttpResponse:
    known, form = get_visit_or_404(request, pk), AgreedForm(request.POST)
    return _act(
        request, known, form,
        lambda data: visits.agree_visit(visit=known, by=request.user, now=timezone.now(), **data),
        f"The plan keeps that date. {PLAN_AGAIN}", agree_form=form,
    )


@office_only
@require_GET
def suggested_days(request: HttpRequest, pk: int) -> HttpResponse:
    """The days a trade suggests, with what each would move."""
    known = get_visit_or_404(request, pk)
    return _suggestions(request, known)


@office_only
@require_POST
def accept_suggestion(request: HttpRequest, pk: int) -> HttpResponse:
    day = get_own_or_404(request, SuggestedDay, pk, "visit")
    try:
        visits.accept_suggestion(day=day, by=request.user, now=timezone.now())
    except Refused as refused:
        return _suggestions(request, get_visit_or_404(request, day.visit_id), refused=refused.message, status=409)
    messages.success(request, f"The plan keeps {day}. {PLAN_AGAIN} They hear it when the plan is issued.")
    return redirect("visit", day.visit_id)


@office_only
@require_POST
def turn_down_suggestions(request: HttpRequest, pk: int) -> HttpResponse:
    known, form = get_visit_or_404(request, pk), TurnDownForm(request.POST)
    reason = form.cleaned_data["reason"] if form.is_valid() else ""
    try:
        visits.turn_down_suggestions(visit=known, reason=reason, by=request.user, now=timezone.now())
    except Refused as refused:
        return _suggestions(request, known, refused=refused.message, status=409)
    messages.success(request, f"{known.contact} is told that these days do not suit. {PLAN_AGAIN}")
    return redirect("visit", known.pk)


@office_only
@require_POST
def give_go_ahead(request: HttpRequest, pk: int) -> HttpResponse:
    known, form = get_visit_or_404(request, pk), GoAheadForm(request.POST)
    return _act(
        request, known, form, lambda data: give(visit=known, by=request.user, now=timezone.now(), **data),
        f"{known.contact} is told that it may be covered up.", go_ahead_form=form,
    )


@office_only
@require_POST
def finish_visit(request: HttpRequest, pk: int) -> HttpResponse:
    known, form = get_visit_or_404(request, pk), FinishForm(request.POST)
    return _act(
        request, known, form,
        lambda data: visits.finish_visit(visit=known, by=request.user, now=timezone.now(), **data),
        f"Marked as done. {PLAN_AGAIN}", finish_form=form,
    )


@office_only
@require_POST
def cancel_visit(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_visit_or_404(request, pk)
    return _act(
        request, known, Form(request.POST),
        lambda data: visits.cancel_visit(visit=known, by=request.user, now=timezone.now()),
        "Cancelled. Whoever was told hears of it when the plan is issued.",
    )


@office_only
@require_POST
def reopen_visit(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_visit_or_404(request, pk)
    return _act(
        request, known, Form(request.POST), lambda data: visits.reopen_visit(visit=known, by=request.user),
        f"Open again. {PLAN_AGAIN}",
    )


def _suggestions(request: HttpRequest, known: Visit, *, refused: str = "", status: int = 200) -> HttpResponse:
    context = {
        "row": load_visit_row(known),
        "visit": known,
        "suggestions": load_suggestions(known, timezone.now()),
        "refused": refused,
    }
    return render(request, "office/trades_suggested.html", context, status=status)


def _act(
    request: HttpRequest, known: Visit, form: Form, act: Callable[[dict], object], done: str, **forms: Form
) -> HttpResponse:
    """Do one thing if its form is filled in well, then show the visit; else say what is wrong beside the form."""
    if carry_out(form, lambda: act(form.cleaned_data)):
        messages.success(request, done)
        return redirect("visit", known.pk)
    return _page(request, known, refused=form.non_field_errors(), status=422, **forms)


def _page(request: HttpRequest, known: Visit, *, status: int = 200, **forms: object) -> HttpResponse:
    context = {
        "row": load_visit_row(known),
        "visit": known,
        "gate": load_gate(known),
        "go_ahead_form": GoAheadForm(),
        "suggested": list_suggested(known),
        "sent": list_sent(known),
        "mail_answers": list_mail_answers(visit=known),
        "refused": (),
        "assign_form": VisitForm(visit=known),
        "answer_form": PhoneAnswerForm(),
        "agree_form": AgreedForm(),
        "finish_form": FinishForm(initial={"started_on": min(known.starts_on or today_of(request), today_of(request))}),
    }
    return render(request, "office/trades_visit.html", context | forms, status=status)

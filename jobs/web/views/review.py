"""The draft against the plan people hold, and issuing it."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import issuing
from jobs.actions.permission import Refused
from jobs.models import Plan
from jobs.queries.held_back import load_untold
from jobs.queries.plans import find_draft, find_issued, list_pins
from jobs.queries.review import load_review
from jobs.web.access import office_only
from jobs.web.clock import today_of
from jobs.web.forms.week import VersionForm
from jobs.web.getters import get_own_or_404
from jobs.web.unchanged import Page, render_unchanged


@office_only
@require_GET
def plan_review(request: HttpRequest) -> HttpResponse:
    return render_unchanged(request, partial(_review_page, request))


def _review_page(request: HttpRequest) -> Page:
    firm = request.user.firm
    draft, issued = find_draft(firm), find_issued(firm)
    review = load_review(draft, issued, today_of(request), timezone.now()) if draft else None
    shown = {"review": review, "issued": issued, "untold": load_untold(firm, timezone.now())}
    return Page("office/review.html", shown | {"pins": list_pins(firm, today_of(request))})


@office_only
@require_POST
def issue_plan(request: HttpRequest, pk: int) -> HttpResponse:
    plan, form = get_own_or_404(request, Plan, pk, "firm"), VersionForm(request.POST)
    try:
        version = form.cleaned_data["version"] if form.is_valid() else -1
        issued = issuing.issue_plan(plan=plan, version=version, by=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("plan_review")
    messages.success(request, f"Plan {issued.number} is issued. Those whose dates changed are being told.")
    return redirect("week")

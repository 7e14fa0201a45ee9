"""What finished work says about the firm's hours, and taking it over."""

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.learning import accept_suggestion
from jobs.core.planning.spreads import PRIOR_SPREADS
from jobs.models import LabourNorm
from jobs.queries.learning import list_suggestions, load_spreads
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.forms.learning import AcceptForm
from jobs.web.getters import get_own_or_404
from jobs.web.views.catalogue import PAGES, TAKEN_UP


@office_only
@require_GET
def learned_hours(request: HttpRequest) -> HttpResponse:
    firm = request.user.firm
    spreads = load_spreads(firm).by_stage
    page = {
        "section": {"slug": "learned"}, "pages": PAGES, "suggestions": list_suggestions(firm),
        "spreads": [(stage.label, spreads[stage], PRIOR_SPREADS[stage]) for stage in PRIOR_SPREADS],
    }
    return render(request, "office/learned_hours.html", page)


@office_only
@require_POST
def accept_learned_hours(request: HttpRequest, pk: int) -> HttpResponse:
    norm, form = get_own_or_404(request, LabourNorm, pk, "point_kind"), AcceptForm(request.POST)
    hours = form.cleaned_data["hours"] if form.is_valid() else Decimal(-1)
    press(
        request, lambda: accept_suggestion(norm=norm, hours=hours, by=request.user),
        lambda kept: f"{kept}: {kept.labour_hours} hours from now on, by {kept.source}. {TAKEN_UP}",
    )
    return redirect("learned_hours")

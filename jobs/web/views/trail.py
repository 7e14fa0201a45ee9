"""Who in the office changed what."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.queries.trail import load_trail
from jobs.web.access import office_only
from jobs.web.forms.trail import TrailForm
from jobs.web.getters import get_own_firm


@office_only
@require_GET
def trail(request: HttpRequest) -> HttpResponse:
    firm = get_own_firm(request)
    form = TrailForm(request.GET, firm=firm)
    asked = form.cleaned_data if form.is_valid() else {}
    return render(request, "office/trail.html", {"page": load_trail(firm, **asked), "form": form, **asked})

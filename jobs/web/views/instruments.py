"""The firm's instruments, and when their calibration falls due."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from jobs.actions import instruments as actions
from jobs.models import Instrument
from jobs.queries.instruments import list_instrument_rows
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.readings import InstrumentForm
from jobs.web.getters import get_own_firm, get_own_or_404


@office_only
@require_http_methods(["GET", "POST"])
def instruments(request: HttpRequest) -> HttpResponse:
    """The list; POST adds one."""
    firm, form = get_own_firm(request), InstrumentForm(request.POST or None, instance=Instrument(firm=request.user.firm))
    if carry_out(form, lambda: actions.add_instrument(firm=firm, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Added.")
        return redirect("instruments")
    page = {"rows": list_instrument_rows(firm, today_of(request)), "form": form}
    return render(request, "office/readings_instruments.html", page, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "POST"])
def instrument(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_own_or_404(request, Instrument, pk)
    form = InstrumentForm(request.POST or None, instance=get_own_or_404(request, Instrument, pk))
    if carry_out(form, lambda: actions.edit_instrument(instrument=found, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Saved.")
        return redirect("instruments")
    page = {"instrument": found, "form": form}
    return render(request, "office/readings_instrument.html", page, status=422 if form.errors else 200)

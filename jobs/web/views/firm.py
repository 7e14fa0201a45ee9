"""The firm's own page: its details, its hours, and the days it works otherwise."""

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from jobs.actions import firm_days
from jobs.actions.firms import edit_firm
from jobs.models import CalendarDay
from jobs.queries.firm_calendar import list_bank_holidays, list_own_days
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.firm import FirmDayForm, FirmForm
from jobs.web.getters import get_own_firm, get_own_or_404


@office_only
@require_http_methods(["GET", "POST"])
def firm(request: HttpRequest) -> HttpResponse:
    form = FirmForm(request.POST or None, instance=get_own_firm(request))
    if request.method == "POST":
        kept = get_own_firm(request)
        if carry_out(form, lambda: edit_firm(firm=kept, details=form.cleaned_data, by=request.user)):
            messages.success(request, "Saved. Plan again to see what it moves.")
            return redirect("firm")
    return _firm_page(request, form=form)


@office_only
@require_POST
def add_firm_day(request: HttpRequest) -> HttpResponse:
    own, form, today = get_own_firm(request), FirmDayForm(request.POST, auto_id="day_%s"), today_of(request)
    if carry_out(form, lambda: firm_days.add_firm_day(firm=own, **form.cleaned_data, by=request.user, today=today)):
        messages.success(request, "Day added. Plan again to see what it moves.")
        return redirect(reverse("firm") + "#days")
    return _firm_page(request, day_form=form)


@office_only
@require_POST
def remove_firm_day(request: HttpRequest, pk: int) -> HttpResponse:
    firm_days.remove_firm_day(day=get_own_or_404(request, CalendarDay, pk), by=request.user)
    messages.success(request, "Day removed. Plan again to see what it moves.")
    return redirect(reverse("firm") + "#days")


def _firm_page(request: HttpRequest, **shown: BaseForm) -> HttpResponse:
    own, today = get_own_firm(request), today_of(request)
    forms = {"form": FirmForm(instance=own), "day_form": FirmDayForm(auto_id="day_%s")} | shown
    days = {"own_days": list_own_days(own, today), "bank_holidays": list_bank_holidays(own, today)}
    is_wrong = any(form.errors for form in forms.values())
    return render(request, "office/firm.html", {"firm": own} | forms | days, status=422 if is_wrong else 200)

"""How the program itself is doing."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import given_up
from jobs.queries.health import list_given_up, list_readings
from jobs.web.access import office_only
from jobs.web.getters import get_given_up_or_404, get_own_firm


@office_only
@require_GET
def health(request: HttpRequest) -> HttpResponse:
    firm = get_own_firm(request)
    shown = {"readings": list_readings(firm, timezone.now()), "given_up": list_given_up(firm)}
    return render(request, "office/health.html", shown)


@office_only
@require_POST
def try_again(request: HttpRequest, pk: int) -> HttpResponse:
    given_up.try_again(entry=get_given_up_or_404(request, pk), by=request.user, now=timezone.now())
    messages.success(request, "It is tried again now.")
    return redirect("health")

"""Van lists: in the office everybody's, on the phone one's own; things are ticked off as they are put on."""

from datetime import date
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.van_ticks import put_on_van, take_off_van
from jobs.models import VanTick
from jobs.queries.plans import find_issued
from jobs.queries.stock import load_stores
from jobs.queries.van_loads import VanList, load_van_lists, next_working_day
from jobs.web.access import firm_only, office_only
from jobs.web.answers import press
from jobs.web.clock import parse_day
from jobs.web.forms.van import PutOnForm
from jobs.web.getters import get_own_or_404
from jobs.web.kept_pages import render_kept
from jobs.web.views.stores import chosen_plan, stores_now

CHANGED = "The list has changed since this page was made. Look at it again."


@office_only
@require_GET
def van_load(request: HttpRequest) -> HttpResponse:
    stock, plan = stores_now(request), chosen_plan(request)
    on = parse_day(request.GET.get("on")) or next_working_day(stock)
    page = {"on": on, "lists": load_van_lists(stock, plan, on), "plan": plan, "today": stock.today}
    return render(request, "office/stores_van.html", page)


@never_cache
@firm_only
@require_GET
def site_van(request: HttpRequest) -> HttpResponse:
    """What goes on one's own van, today and on the next working day; the office sees everybody's."""
    now, plan = timezone.now(), find_issued(request.user.firm)
    stock = load_stores(request.user.firm, plan, now)
    days = [(on, _own(request, load_van_lists(stock, plan, on))) for on in (stock.today, next_working_day(stock))]
    page = {
        "made_at": now.isoformat(timespec="milliseconds"), "days": [(on, lists) for on, lists in days if lists],
        "plan": plan, "new_id": uuid4,
    }
    return render_kept(request, "site/van.html", page)


def _own(request: HttpRequest, lists: list[VanList]) -> list[VanList]:
    return [each for each in lists if request.user.person_id in (None, each.person.pk)]


@firm_only
@require_POST
def put_on(request: HttpRequest) -> HttpResponse:
    form = PutOnForm(request.POST, firm=request.user.firm)
    if not form.is_valid():
        messages.error(request, CHANGED)
        return redirect(_back(request, None))
    data = form.cleaned_data
    press(request, lambda: put_on_van(**data, by=request.user, at=timezone.now()))
    return redirect(_back(request, data["on"]))


@firm_only
@require_POST
def take_off(request: HttpRequest, pk: int) -> HttpResponse:
    tick = get_own_or_404(request, VanTick, pk, "item", "drum__item", "place", "person")
    press(request, lambda: take_off_van(tick=tick, by=request.user, at=timezone.now()))
    return redirect(_back(request, tick.on))


def _back(request: HttpRequest, on: date | None) -> str:
    """The crew come back to their own list."""
    if not request.user.is_office:
        return resolve_url("site_van")
    return resolve_url("van_load") + (f"?on={on}" if on else "")

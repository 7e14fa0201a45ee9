"""Moving a booking or holding a visit by form, removing a pin, taking the last move back."""

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.actions import hand_moves, visit_holds
from jobs.actions.permission import Refused
from jobs.actions.plan_by_hand import Moved
from jobs.models import Booking, Pin, Plan, Span
from jobs.queries.causes import load_causes
from jobs.queries.planning_keys import package_key, visit_key
from jobs.queries.plans import find_draft, find_issued
from jobs.queries.week import has_other_half
from jobs.web.access import office_only
from jobs.web.forms.week import HoldForm, MoveForm, VersionForm
from jobs.web.getters import get_own_or_404, get_visit_or_404
from jobs.web.views.week import WEEK_CHANGED

GONE = "That booking is no longer there: the week was planned anew meanwhile. Below is the week as it is now."


@office_only
@require_http_methods(["GET", "POST"])
def move_booking(request: HttpRequest, pk: int) -> HttpResponse:
    try:
        booking = get_own_or_404(request, Booking, pk, "firm", "plan", "person", "package__area", "package__job")
    except Http404:
        return _gone_answer(request)
    is_pair = has_other_half(booking)
    start = MoveForm.start_values(booking, booking.plan.version, is_pair)
    form = MoveForm(request.POST or None, firm=booking.firm, has_other_half=is_pair, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            moved = hand_moves.move_booking(booking=booking, **_target(booking, form), by=request.user, now=timezone.now())
        except Refused as refused:
            if refused.field == "version":
                return _refused_answer(request, refused.message)
            form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        else:
            return _moved_answer(request, moved)
    page = {"form": form, "booking": booking, "steps": load_causes(booking.plan).chain(package_key(booking.package_id))}
    template = "office/_week_move.html" if request.htmx else "office/week_move.html"
    return render(request, template, page, status=422 if form.errors else 200)


def _target(booking: Booking, form: MoveForm) -> dict[str, object]:
    chosen = dict(form.cleaned_data)
    chosen["whole_day"] = chosen["half"] == MoveForm.WHOLE_DAY
    return chosen | ({"half": booking.half} if chosen["whole_day"] else {})


@office_only
@require_http_methods(["GET", "POST"])
def hold_visit(request: HttpRequest, pk: int) -> HttpResponse:
    visit = get_visit_or_404(request, pk)
    causes = load_causes(find_draft(visit.firm) or find_issued(visit.firm))
    span = causes.spans.get(visit_key(visit.pk))
    form = HoldForm(request.POST or None, initial=_hold_start(causes.plan, span))
    if request.method == "POST" and form.is_valid():
        try:
            moved = visit_holds.hold_visit(visit=visit, **form.cleaned_data, by=request.user, now=timezone.now())
        except Refused as refused:
            if refused.field == "version":
                return _refused_answer(request, refused.message)
            form.add_error(refused.field if refused.field in form.fields else None, refused.message)
        else:
            return _moved_answer(request, moved, form.cleaned_data["on"])
    page = {"form": form, "visit": visit, "span": span, "steps": causes.chain(visit_key(visit.pk))}
    template = "office/_week_hold.html" if request.htmx else "office/week_hold.html"
    return render(request, template, page, status=422 if form.errors else 200)


def _hold_start(plan: Plan | None, span: Span | None) -> dict[str, object]:
    """Where the visit stands in the plan that is looked at."""
    place = {"on": span.starts_on, "half": span.starts_half} if span else {}
    return place | {"version": plan.version if plan else 0}


@office_only
@require_POST
def remove_pin(request: HttpRequest, pk: int) -> HttpResponse:
    pin = get_own_or_404(request, Pin, pk, "firm", "package__area", "package__job", "visit__kind", "visit__area")
    return _moved_answer(request, hand_moves.remove_pin(pin=pin, by=request.user, now=timezone.now()))


@office_only
@require_POST
def undo_move(request: HttpRequest) -> HttpResponse:
    form = VersionForm(request.POST)
    version = form.cleaned_data["version"] if form.is_valid() else -1
    try:
        moved = hand_moves.undo_last_move(firm=request.user.firm, version=version, by=request.user, now=timezone.now())
    except Refused as refused:
        return _refused_answer(request, refused.message)
    return _moved_answer(request, moved)


def _moved_answer(request: HttpRequest, moved: Moved, on: date | None = None) -> HttpResponse:
    """What the change did, beside the week or on the week of `on`."""
    if request.htmx:
        response = render(request, "office/_week_moved.html", {"moved": moved})
        response["HX-Trigger"] = WEEK_CHANGED
        return response
    messages.success(request, moved.words)
    for words in moved.breaks:
        messages.warning(request, words)
    if request.POST.get("back_to") == "plan_review":
        return redirect("plan_review")
    return redirect(f"{reverse('week')}?from={on:%Y-%m-%d}" if on else "week")


def _gone_answer(request: HttpRequest) -> HttpResponse:
    """The booking is not there: most likely the week was planned anew since the page was shown."""
    if not request.htmx:
        raise Http404
    response = render(request, "office/_week_refused.html", {"words": GONE}, status=404)
    response["HX-Reswap"], response["HX-Trigger"] = "innerHTML", WEEK_CHANGED
    return response


def _refused_answer(request: HttpRequest, words: str) -> HttpResponse:
    if request.htmx:
        response = render(request, "office/_week_refused.html", {"words": words}, status=409)
        response["HX-Trigger"] = WEEK_CHANGED
        return response
    messages.error(request, words)
    return redirect("week")

"""Booking what happened to stock: receive, move, use, bring back, waste, measure; and counting a shelf."""

from decimal import Decimal

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods
from django.views.decorators.vary import vary_on_headers

from jobs.actions import stock as actions
from jobs.models import Drum, Item, Location
from jobs.queries.balances import list_own_places, load_balances
from jobs.queries.drums import list_drums
from jobs.queries.stores_page import list_items
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.forms.stock import HAPPENINGS, Happening, form_for, list_things
from jobs.web.forms.stores import CountForm
from jobs.web.getters import get_place_or_404, get_thing_or_404


@office_only
@require_http_methods(["GET", "POST"])
@vary_on_headers("HX-Request")
def book_stock(request: HttpRequest, what: str) -> HttpResponse:
    if what not in HAPPENINGS:
        raise Http404
    named = request.POST.get("thing") or request.GET.get("thing")
    thing = get_thing_or_404(request, named) if named else None
    form = _form(request, what, thing) if thing else None
    if form and carry_out(form, lambda: form.run(request.user, timezone.now())):
        messages.success(request, f"Booked: {HAPPENINGS[what][0].lower()}, {_words(thing)}.")
        return redirect("drum", thing.pk) if isinstance(thing, Drum) else redirect("stores_item", thing.pk)
    return _book_page(request, what, named, thing, form)


def _form(request: HttpRequest, what: str, thing: Item | Drum) -> Happening:
    form = form_for(what, thing)
    if form is None:
        raise Http404
    places = {place: request.GET[place] for place in ("moved_from", "to", "job", "order_line") if place in request.GET}
    return form(request.POST or None, thing=thing, initial=places)


def _words(thing: Item | Drum) -> str:
    return f"drum {thing}" if isinstance(thing, Drum) else str(thing)


def _book_page(
    request: HttpRequest, what: str, named: str | None, thing: Item | Drum | None, form: Happening | None
) -> HttpResponse:
    firm = request.user.firm
    balances, places = load_balances(firm), list_own_places(firm)
    page = {
        "what": what, "title": HAPPENINGS[what][0], "named": named, "thing": thing, "form": form,
        "groups": list_things(what, list_items(firm), list_drums(firm, balances=balances, places=places)),
        "held": _held(thing, balances, places) if thing else [],
    }
    name = "_stores_book_form" if request.htmx and request.htmx.target == "book-form" else "stores_book"
    return render(request, f"office/{name}.html", page, status=422 if form and form.errors else 200)


def _held(thing: Item | Drum, balances: object, places: list[Location]) -> list[tuple[Location, Decimal]]:
    item, drum = (thing.item, thing.pk) if isinstance(thing, Drum) else (thing, None)
    by_pk = {place.pk: place for place in places}
    spots = balances.of_item(item.pk)
    if drum:
        return [(by_pk[spot.place], left) for spot, left in spots if spot.drum == drum and spot.place in by_pk]
    totals = balances.by_place(item.pk, by_pk)
    return [(place, totals[place.pk]) for place in places if place.pk in totals]


@office_only
@require_GET
def count_list(request: HttpRequest) -> HttpResponse:
    """Where to count."""
    firm = request.user.firm
    places, balances = list_own_places(firm), load_balances(firm)
    owed = {spot.place for spot, _ in balances.negative([place.pk for place in places])}
    held = {spot.place for spot in balances.quantities}
    rows = [(place, place.pk in owed) for place in places if place.pk in held or place.kind == Location.Kind.UNIT]
    return render(request, "office/stores_counts.html", {"rows": rows})


@office_only
@require_http_methods(["GET", "POST"])
def count_stock(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_place_or_404(request, pk)
    with_all = request.GET.get("show") == "all"
    form = CountForm(request.POST or None, **_sheet(request, place, with_all))
    if carry_out(form, lambda: actions.count(
        place=place, counted=form.counted(), op_id=form.cleaned_data["op_id"], by=request.user, at=timezone.now(),
        note=form.cleaned_data["note"],
    )):
        messages.success(request, f"Counted: {place}. The differences are booked.")
        return redirect("stores")
    page = {"place": place, "form": form, "with_all": with_all}
    return render(request, "office/stores_count.html", page, status=422 if form.errors else 200)


def _sheet(request: HttpRequest, place: Location, with_all: bool) -> dict[str, list]:
    """What lies in a place by the books: loose things, then drums; every item of the firm when asked for."""
    firm = request.user.firm
    balances = load_balances(firm)
    wanted = request.GET.get("item")
    items = [item for item in list_items(firm) if not wanted or str(item.pk) == wanted]
    loose = [(item, balances.loose(item.pk, place.pk)) for item in items]
    drums = list_drums(firm, items=[item.pk for item in items], balances=balances, places=[place])
    return {
        "loose": [(item, left) for item, left in loose if left or ((wanted or with_all) and not item.is_cable)],
        "drums": [row for row in drums if row.place == place],
    }

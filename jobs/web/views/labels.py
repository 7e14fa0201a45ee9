"""Labels for drums and boxes: a sheet to print, the page a label leads to, and finding a thing by its label."""

import segno
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from jobs.models import Drum, Item
from jobs.queries.labels import Label, find_things, label_in, list_labels, load_held
from jobs.web.access import firm_only, office_only
from jobs.web.device_session import device_key
from jobs.web.forms.labels import FindLabelForm, SheetForm
from jobs.web.getters import get_thing_or_404
from jobs.web.kept_pages import render_kept

MOST_LABELS = 200


@office_only
@require_GET
def label_sheet(request: HttpRequest) -> HttpResponse:
    """Labels on A4, three across and eight down; those of a sheet that were used already are left free."""
    firm = request.user.firm
    form = SheetForm(request.GET if "place" in request.GET else None, firm=firm)
    page = {"form": form, "labels": [], "left_out": 0, "free": []}
    if form.is_valid():
        data = form.cleaned_data
        labels = list_labels(firm, data["place"], drums=data["what"] == "drums")
        page |= {
            "labels": [(label, _qr(request, label)) for label in labels[:MOST_LABELS]],
            "left_out": max(0, len(labels) - MOST_LABELS), "free": range(data["used"] or 0),
        }
    return render(request, "office/stores_labels.html", page)


def _qr(request: HttpRequest, label: Label) -> str:
    address = request.build_absolute_uri(reverse("label", args=[label.name]))
    return segno.make(address, error="m", micro=False).svg_data_uri(border=2)


@never_cache
@firm_only
@require_GET
def label(request: HttpRequest, name: str) -> HttpResponse:
    """Where a label leads: the office to the full page, the crew to what they may know."""
    thing = get_thing_or_404(request, name)
    if _is_office(request):
        return redirect("drum" if isinstance(thing, Drum) else "stores_item", thing.pk)
    item = thing.item if isinstance(thing, Drum) else thing
    page = {
        "thing": thing, "item": item, "drum": thing if isinstance(thing, Drum) else None, "held": load_held(thing),
        "made_at": timezone.now().isoformat(timespec="milliseconds"),
    }
    return render_kept(request, "site/label.html", page, is_kept=False)


@never_cache
@firm_only
@require_GET
def scan(request: HttpRequest) -> HttpResponse:
    """Find a drum or box by its label, with the camera or by typing."""
    form = FindLabelForm(request.GET)
    code = form.cleaned_data["code"] if form.is_valid() else ""
    if name := label_in(code):
        return redirect("label", name)
    found = find_things(request.user.firm, code)
    if len(found) == 1:
        return redirect("label", _name(found[0]))
    page = {
        "form": form, "code": code, "found": [(_name(thing), thing) for thing in found],
        "made_at": timezone.now().isoformat(timespec="milliseconds"),
    }
    if _is_office(request):
        return render(request, "office/stores_scan.html", page)
    return render_kept(request, "site/scan.html", page, is_kept=False)


def _name(thing: Drum | Item) -> str:
    return f"{'drum' if isinstance(thing, Drum) else 'item'}-{thing.pk}"


def _is_office(request: HttpRequest) -> bool:
    return request.user.is_office and not device_key(request)

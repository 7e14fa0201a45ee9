"""Labels of drums and boxes: what is printed, and what a scanned or typed one leads to."""

import re
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from jobs.models import Drum, Firm, Item, Location
from jobs.queries.balances import load_balances
from jobs.queries.drums import list_drums

PATH = re.compile(r"/stores/label/((?:drum|item)-[0-9]{1,18})/?$")
MOST_FOUND = 20


@dataclass(frozen=True)
class Label:
    """`name` is what the address of a label ends with: drum-3, item-12."""

    name: str
    title: str
    words: str


def list_labels(firm: Firm, place: Location, *, drums: bool) -> list[Label]:
    """Labels for the drums in a place, or for the boxes of what lies there loose."""
    balances = load_balances(firm)
    if drums:
        rows = [row for row in list_drums(firm, balances=balances, places=[place]) if row.place == place and row.metres > 0]
        return [Label(f"drum-{row.drum.pk}", row.drum.label, str(row.drum.item)) for row in rows]
    items = Item.objects.filter(firm=firm, unit=Item.Unit.PIECE)
    held = [item for item in items if balances.loose(item.pk, place.pk) > 0]
    return [Label(f"item-{item.pk}", item.name, item.code) for item in held]


def label_in(scanned: str) -> str | None:
    """What the address on a label names; None for anything else."""
    found = PATH.search(scanned.strip())
    return found[1] if found else None


def find_things(firm: Firm, words: str) -> list[Drum | Item]:
    """The drum or item of exactly this label, code or name; else those that hold the words."""
    words = words.strip()
    if not words:
        return []
    drums = Drum.objects.filter(firm=firm).select_related("item")
    items = Item.objects.filter(firm=firm)
    exact = [*drums.filter(label__iexact=words), *items.filter(Q(code__iexact=words) | Q(name__iexact=words))]
    if exact:
        return exact
    found = [*drums.filter(label__icontains=words)[:MOST_FOUND], *items.filter(name__icontains=words)[:MOST_FOUND]]
    return found[:MOST_FOUND]


def load_held(thing: Drum | Item) -> list[tuple[str, Decimal]]:
    """Where a drum or item lies, for the crew: place and quantity."""
    item = thing.item if isinstance(thing, Drum) else thing
    drum = thing.pk if isinstance(thing, Drum) else None
    places = {place.pk: str(place) for place in Location.objects.filter(firm_id=thing.firm_id, kind__in=("unit", "van", "site"))}
    totals: dict[str, Decimal] = {}
    for spot, quantity in load_balances(thing.firm, [item.pk]).of_item(item.pk):
        if spot.place in places and (drum is None or spot.drum == drum):
            totals[places[spot.place]] = totals.get(places[spot.place], Decimal(0)) + quantity
    return [(place, quantity) for place, quantity in totals.items() if quantity]

"""What a stock list or price list is read against."""

from collections.abc import Sequence
from decimal import Decimal

from jobs.core.stock import Spot
from jobs.core.stores_file.lists import Known, KnownItem, StockRow
from jobs.models import Drum, Firm, Item, Location, Supplier
from jobs.queries.balances import load_balances, own_places
from jobs.queries.drums import list_drums


def load_known(firm: Firm) -> Known:
    places = list(own_places(firm))
    items = Item.objects.filter(firm=firm)
    home = next((place.name for place in places if place.kind == Location.Kind.UNIT), "Unit")
    return Known(
        items=tuple(KnownItem(item.code, item.name, item.unit) for item in items),
        places=tuple(place.name for place in places) or (home,),
        suppliers=tuple(Supplier.objects.filter(firm=firm).values_list("name", flat=True)),
        drums={
            row.drum.label: (row.drum.item.code, row.place.name if row.place else home)
            for row in list_drums(firm, with_empty=True)
        },
        home=home,
    )


def list_stock_rows(firm: Firm) -> list[StockRow]:
    """The firm's stock as a stock list: what lies where, and items of which there is none."""
    places, balances = list(own_places(firm)), load_balances(firm)
    drums: dict[int, list] = {}
    for row in list_drums(firm, balances=balances):
        drums.setdefault(row.drum.item_id, []).append(row)
    rows: list[StockRow] = []
    for item in Item.objects.filter(firm=firm).select_related("supplier"):
        held = [(place.name, "", balances.loose(item.pk, place.pk)) for place in places]
        held += [(row.place.name, row.drum.label, row.metres) for row in drums.get(item.pk, ()) if row.place]
        found = [each for each in held if each[2] > 0 and (each[1] or not item.is_cable)]
        rows += [_row(item, *each) for each in found or [(places[0].name if places else "", "", None)]]
    return rows


def list_seen(firm: Firm, rows: Sequence[StockRow]) -> list[str | None]:
    """What the books say of each row of a stock list, None where nobody counted."""
    items = {item.code: item.pk for item in Item.objects.filter(firm=firm)}
    places = {place.name: place.pk for place in own_places(firm)}
    drums = dict(Drum.objects.filter(firm=firm).values_list("label", "pk"))
    balances = load_balances(firm)
    spots = [Spot(items.get(row.code, 0), places.get(row.place, 0), drums.get(row.drum)) for row in rows]
    held = [balances.quantities.get(spot, Decimal(0)) for spot in spots]
    return [None if row.quantity is None else str(quantity) for row, quantity in zip(rows, held, strict=True)]


def _row(item: Item, place: str, drum: str, quantity: object) -> StockRow:
    supplier = item.supplier.name if item.supplier else ""
    return StockRow(item.code, item.name, item.unit, item.pack_size, supplier, item.keep_at_least, place, drum, quantity)

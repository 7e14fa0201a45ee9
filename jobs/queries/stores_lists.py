"""What a stock list or price list is read against."""

from jobs.core.stores_file.lists import Known, KnownItem, StockRow
from jobs.models import Firm, Item, Location, Supplier
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


def _row(item: Item, place: str, drum: str, quantity: object) -> StockRow:
    supplier = item.supplier.name if item.supplier else ""
    return StockRow(item.code, item.name, item.unit, item.pack_size, supplier, item.keep_at_least, place, drum, quantity)

"""Bringing a stock list or a price list in: kept while it is looked at, then saved whole or not at all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.actions.drums import require_new_labels
from jobs.actions.items import add_item
from jobs.actions.permission import Refused, require_office
from jobs.actions.stock_book import Entry, Operation, book, difference, hold_items, require_unmoved
from jobs.actions.survey_import import plain_name
from jobs.core.stock import Balances, Spot
from jobs.core.stores_file.lists import ListReading, PriceRow, StockRow
from jobs.core.stores_file.writing import PRICE_HEADING, STOCK_HEADING, price_lines, stock_lines, write_csv
from jobs.core.survey_file.cells import same
from jobs.models import Drum, Item, Location, Price, StockMove, StoresUpload, Supplier, User
from jobs.queries.balances import load_balances, own_places
from jobs.queries.stores_lists import list_seen

Kind = StoresUpload.Kind
IN_ALREADY = "This list is in already. Read the file again to bring in another."


@transaction.atomic
def keep_list(
    *, kind: str, file_name: str, reading: ListReading, by: User, now: datetime, supplier: Supplier | None = None
) -> StoresUpload:
    """Keep what was read of a file until it is saved or dropped, with what the books say of each row now; a person's
    newest replaces their last unsaved one of the kind."""
    require_office(by, supplier)
    heading, lines = (STOCK_HEADING, stock_lines) if kind == Kind.STOCK else (PRICE_HEADING, price_lines)
    StoresUpload.objects.filter(firm=by.firm, made_by=by, kind=kind, saved_at=None).delete()
    return StoresUpload.objects.create(
        firm=by.firm, kind=kind, file_name=plain_name(file_name, "list"), notes=list(reading.notes), supplier=supplier,
        text=write_csv(heading, lines(reading.rows)).decode("utf-8"), made_by=by, made_at=now,
        seen=list_seen(by.firm, reading.rows) if kind == Kind.STOCK else [],
    )


def drop_list(*, upload: StoresUpload, by: User) -> None:
    require_office(by, upload)
    if not StoresUpload.objects.filter(pk=upload.pk, saved_at=None).delete()[0]:
        raise Refused(IN_ALREADY)


@transaction.atomic
def import_prices(*, upload: StoresUpload, rows: Sequence[PriceRow], by: User, now: datetime, today: date) -> int:
    """Every price of the list, from its day on; how many."""
    require_office(by, upload)
    _save_once(upload, now)
    items = {item.code: item for item in Item.objects.filter(firm=by.firm)}
    if gone := sorted({row.code for row in rows} - items.keys()):
        raise Refused(f"The firm no longer keeps: {', '.join(gone)}. Read the file again.")
    Price.objects.bulk_create(
        Price(
            firm=by.firm, item=items[row.code], supplier=upload.supplier, pence=row.pence, per_quantity=row.per,
            from_on=row.from_on or today, made_by=by, made_at=now,
        )
        for row in rows
    )
    return len(rows)


@transaction.atomic
def import_stock(*, upload: StoresUpload, rows: Sequence[StockRow], by: User, now: datetime) -> list[StockMove]:
    """Add and edit the items of the list, and book each difference to what was counted, as one count.

    As on a shelf's sheet, where a balance has moved since the list was read the whole list is refused.
    """
    require_office(by, upload)
    _save_once(upload, now)
    items = _save_items(rows, by)
    hold_items(by.firm, [item.pk for item in items.values()])
    operation = Operation(by.firm, upload.op_id, StockMove.Reason.COUNT, by, now, note=f"From {upload.file_name}"[:200])
    counted = [(row, Decimal(seen)) for row, seen in zip(rows, upload.seen, strict=True) if row.quantity is not None]
    return book(operation, _differences(counted, items, operation))


def _save_once(upload: StoresUpload, now: datetime) -> None:
    """Two people, or two presses, save a list once."""
    if not StoresUpload.objects.filter(pk=upload.pk, saved_at=None).update(saved_at=now):
        raise Refused(IN_ALREADY)


def _save_items(rows: Sequence[StockRow], by: User) -> dict[str, Item]:
    """The items of the list by name, new ones added, and told details changed."""
    items = {same(item.name): item for item in Item.objects.filter(firm=by.firm)}
    suppliers = {supplier.name: supplier for supplier in Supplier.objects.filter(firm=by.firm)}
    for row in rows:
        item, told = items.get(same(row.name)), _told(row, suppliers)
        if item is None:
            items[same(row.name)] = add_item(
                firm=by.firm, details={"name": row.name, "unit": row.counted_in, **told}, by=by
            )
        elif changed := {field: value for field, value in told.items() if getattr(item, field) != value}:
            for field, value in changed.items():
                setattr(item, field, value)
            item.save(update_fields=list(changed))
    return {name: items[name] for name in {same(row.name) for row in rows}}


def _told(row: StockRow, suppliers: dict[str, Supplier]) -> dict[str, object]:
    told = {"pack_size": row.pack, "supplier": suppliers.get(row.supplier), "keep_at_least": row.keep}
    return {field: value for field, value in told.items() if value is not None}


def _differences(counted: Sequence[tuple[StockRow, Decimal]], items: dict[str, Item], operation: Operation) -> list[Entry]:
    by = operation.by
    places = {place.name: place for place in own_places(by.firm)}
    drums = {drum.label: drum for drum in Drum.objects.filter(firm=by.firm)}
    balances = load_balances(by.firm, [item.pk for item in items.values()])
    require_new_labels(by.firm, [row.drum for row, _ in counted if row.drum and row.drum not in drums])
    entries = []
    for row, seen in counted:
        item, place = items[same(row.name)], places.get(row.place)
        if place is None:
            raise Refused(f"{row.place} is no longer one of the firm’s places. Read the file again.")
        if row.drum in drums and drums[row.drum].item_id != item.pk:
            raise Refused(f"There is a drum {row.drum} with another cable on it by now. Read the file again.")
        drum = drums.get(row.drum) or _new_drum(row, item, operation)
        if drum or not row.drum:
            entries.append(_difference(by, _Found(item, place, drum, row.quantity, seen), balances))
    return entries


@dataclass(frozen=True)
class _Found:
    """A counted row with its rows of the books."""

    item: Item
    place: Location
    drum: Drum | None
    quantity: Decimal
    seen: Decimal


def _difference(by: User, found: _Found, balances: Balances) -> Entry:
    held = balances.quantities.get(Spot(found.item.pk, found.place.pk, found.drum.pk if found.drum else None), Decimal(0))
    require_unmoved(found.seen, held, f"{found.drum or found.item} in {found.place}", since="Since the list was read")
    return difference(by, found.item, found.place, found.quantity - held, found.drum)


def _new_drum(row: StockRow, item: Item, operation: Operation) -> Drum | None:
    """A label nobody knows yet is a new drum; one counted as empty is none."""
    if not row.drum or not row.quantity:
        return None
    return Drum.objects.create(
        firm=operation.firm, item=item, label=row.drum, full_metres=row.quantity, made_at=operation.at
    )

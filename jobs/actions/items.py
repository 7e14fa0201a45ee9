"""Items a firm keeps, and whom it buys them from."""

from collections.abc import Mapping
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from jobs.actions.permission import Refused, require_office
from jobs.models import Firm, FirmOwned, Item, Supplier, SupplierClosure, User

MOST_CLOSED_DAYS = 60


@transaction.atomic
def add_item(*, firm: Firm, details: Mapping[str, object], by: User) -> Item:
    """`details` are fields of Item; its code is made from its name."""
    require_office(by, firm, details.get("supplier"), details.get("stands_in_for"))
    item = Item(firm=firm, **details)
    item.code = _free_code(firm, item.name)
    _check(item)
    _check_stand_in(item)
    item.save()
    return item


@transaction.atomic
def edit_item(*, item: Item, details: Mapping[str, object], by: User) -> Item:
    """Change an item; once it has moved it stays pieces, or metres, as it was."""
    require_office(by, item, details.get("supplier"), details.get("stands_in_for"))
    item = Item.objects.select_for_update().get(pk=item.pk, firm=by.firm)
    if details["unit"] != item.unit and item.moves.exists():
        raise Refused("It has stock moves already, so it cannot change between pieces and metres.", field="unit")
    for field, value in details.items():
        setattr(item, field, value)
    _check(item)
    _check_stand_in(item)
    item.save(update_fields=list(details))
    return item


def add_supplier(*, firm: Firm, details: Mapping[str, object], by: User) -> Supplier:
    require_office(by, firm)
    supplier = Supplier(firm=firm, **details)
    _check(supplier)
    supplier.save()
    return supplier


def edit_supplier(*, supplier: Supplier, details: Mapping[str, object], by: User) -> Supplier:
    require_office(by, supplier)
    for field, value in details.items():
        setattr(supplier, field, value)
    _check(supplier)
    supplier.save()
    return supplier


def close_supplier(*, supplier: Supplier, first_on: date, last_on: date | None, by: User, note: str = "") -> SupplierClosure:
    """The supplier is closed from one day to another: orders and deliveries skip these days."""
    require_office(by, supplier)
    last_on = last_on or first_on
    if last_on < first_on:
        raise Refused("It ends before it begins. Check the two days.", field="last_on")
    if (last_on - first_on).days > MOST_CLOSED_DAYS:
        raise Refused(f"Enter at most {MOST_CLOSED_DAYS} days at once.", field="last_on")
    return SupplierClosure.objects.create(
        firm=by.firm, supplier=supplier, first_on=first_on, last_on=last_on, note=note.strip()
    )


def open_supplier(*, closure: SupplierClosure, by: User) -> None:
    require_office(by, closure)
    closure.delete()


def _check(row: FirmOwned) -> None:
    """What the model forbids is refused at its field."""
    try:
        row.full_clean()
    except ValidationError as wrong:
        field, messages = next(iter(wrong.message_dict.items()))
        raise Refused(" ".join(messages), field=field) from wrong


def _check_stand_in(item: Item) -> None:
    """Stand-ins are one step deep: an item stands in for one that stands for itself."""
    other = item.stands_in_for
    if other is None:
        return
    if other.pk == item.pk or other.unit != item.unit:
        raise Refused("Choose another item, counted in the same way.", field="stands_in_for")
    if other.stands_in_for_id or (item.pk and item.other_packs.exists()):
        words = f"{other} or {item} is another pack already. Choose the one they all stand for."
        raise Refused(words, field="stands_in_for")


def _free_code(firm: Firm, name: str) -> str:
    stem = slugify(name)[:34] or "item"
    taken = set(Item.objects.filter(firm=firm, code__startswith=stem).values_list("code", flat=True))
    codes = (stem if number == 1 else f"{stem}-{number}" for number in range(1, len(taken) + 2))
    return next(code for code in codes if code not in taken)

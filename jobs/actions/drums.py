"""What people do with cable: each drum and offcut is a piece of its own, with a label and metres left."""

import uuid
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from django.db import IntegrityError, transaction

from jobs.actions.locations import firm_place, job_place
from jobs.actions.permission import Refused, require_member
from jobs.actions.stock_book import (
    Entry,
    Operation,
    book,
    check_quantity,
    difference,
    hold_items,
    list_booked,
    require_cable,
    require_held,
    require_own,
    require_unmoved,
)
from jobs.models import Drum, Firm, Item, Job, Location, OrderLine, StockMove, User
from jobs.queries.balances import OWN_KINDS, load_balances

Reason, Kind = StockMove.Reason, Location.Kind


class NewDrum(NamedTuple):
    """A drum as it is unloaded: what is written on it, and its metres."""

    label: str
    metres: Decimal


@transaction.atomic
def receive_drums(
    *, item: Item, drums: Sequence[NewDrum], to: Location, op_id: uuid.UUID, by: User, at: datetime, note: str = ""
) -> list[StockMove]:
    """New drums came from a supplier without an order in the books."""
    require_member(by, item, to)
    require_own([(to, "to")])
    hold_items(by.firm, [item.pk])
    if booked := list_booked(by.firm, op_id):
        return same_drums_as_before(booked, drums)
    operation = Operation(by.firm, op_id, Reason.RECEIVE, by, at, to.job, note=note)
    return book(operation, unload(operation, item, drums, firm_place(by.firm, Kind.SUPPLIER), to))


@transaction.atomic
def bring_back_offcut(
    *, item: Item, job: Job, label: str, metres: Decimal, to: Location, op_id: uuid.UUID, by: User, at: datetime,
    note: str = "",
) -> list[StockMove]:
    """A length that was booked as used on a job came back: from now on it is an offcut with a label of its own."""
    require_member(by, item, job, to)
    require_own([(to, "to")])
    offcut, fitted = NewDrum(label, metres), job_place(job, Kind.FITTED)
    hold_items(by.firm, [item.pk])
    if booked := list_booked(by.firm, op_id):
        return same_drums_as_before(booked, [offcut])
    require_held(fitted, item, load_balances(by.firm, [item.pk]).at(item.pk, fitted.pk), metres, "metres")
    operation = Operation(by.firm, op_id, Reason.BRING_BACK, by, at, job, note=note)
    return book(operation, unload(operation, item, [offcut], fitted, to))


@transaction.atomic
def move_drum(
    *, drum: Drum, moved_to: Location, op_id: uuid.UUID, by: User, at: datetime, note: str = ""
) -> list[StockMove]:
    """A drum went to another place, with all its metres."""
    require_member(by, drum, moved_to)
    require_own([(moved_to, "moved_to")])
    hold_items(by.firm, [drum.item_id])
    if booked := list_booked(by.firm, op_id):
        return booked
    held = _held_elsewhere(drum, moved_to)
    if not held:
        raise Refused(f"{drum} is there already, or has no metres left.", field="moved_to")
    operation = Operation(by.firm, op_id, Reason.MOVE, by, at, moved_to.job, note=note)
    return book(operation, [_carry(drum, place, moved_to, metres) for place, metres in held])


@transaction.atomic
def use_drum(
    *, drum: Drum, metres: Decimal, job: Job, op_id: uuid.UUID, by: User, at: datetime, even_if_short: bool = False,
    note: str = "",
) -> list[StockMove]:
    """Metres were cut from a drum and pulled in on a job."""
    require_member(by, drum, job)
    operation = Operation(by.firm, op_id, Reason.USE, by, at, job, note=note)
    return _cut(drum, metres, job_place(job, Kind.FITTED), operation, even_if_short)


@transaction.atomic
def waste_drum(
    *, drum: Drum, metres: Decimal, op_id: uuid.UUID, by: User, at: datetime, even_if_short: bool = False, note: str = ""
) -> list[StockMove]:
    """Metres of a drum are scrap."""
    require_member(by, drum)
    operation = Operation(by.firm, op_id, Reason.WASTE, by, at, note=note)
    return _cut(drum, metres, firm_place(by.firm, Kind.WASTE), operation, even_if_short)


@transaction.atomic
def count_drum(
    *, drum: Drum, found: Decimal, op_id: uuid.UUID, by: User, at: datetime, seen: Decimal | None = None, note: str = ""
) -> list[StockMove]:
    """Somebody measured what is left on a drum: the difference is booked where the drum is."""
    require_member(by, drum)
    if found:
        check_quantity(drum.item, found, "found")
    hold_items(by.firm, [drum.item_id])
    if booked := list_booked(by.firm, op_id):
        return booked
    place, left = whereabouts(drum)
    require_unmoved(seen, left, str(drum))
    operation = Operation(by.firm, op_id, Reason.COUNT, by, at, place.job, note=note)
    return book(operation, [difference(by, drum.item, place, found - left, drum=drum)])


def unload(
    operation: Operation, item: Item, drums: Sequence[NewDrum], source: Location, to: Location,
    order_line: OrderLine | None = None,
) -> list[Entry]:
    """Make the drums, and the rows that bring them from `source` to `to`. Items are held by now."""
    require_cable(item)
    if not drums:
        raise Refused("Enter at least one drum with its label and metres.", field="drums")
    for drum in drums:
        check_quantity(item, drum.metres, "drums")
    require_new_labels(operation.firm, [drum.label for drum in drums])
    made = [_make_drum(operation, item, drum) for drum in drums]
    return [Entry(item, drum.full_metres, source, to, drum, order_line) for drum in made]


def _make_drum(operation: Operation, item: Item, drum: NewDrum) -> Drum:
    """Somebody else may write the same label at the same moment: the database then says so."""
    label = drum.label.strip()
    try:
        with transaction.atomic():
            return Drum.objects.create(
                firm=operation.firm, item=item, label=label, full_metres=drum.metres, made_at=operation.at
            )
    except IntegrityError as taken:
        raise Refused(f"There is a drum {label} already. Write another label on the new one.", field="drums") from taken


def require_new_labels(firm: Firm, labels: Sequence[str]) -> None:
    trimmed = [label.strip() for label in labels]
    if not all(trimmed) or any(len(label) > 20 for label in trimmed):
        raise Refused("Give each drum a label of 1 to 20 letters, as written on it.", field="drums")
    if len(set(trimmed)) < len(trimmed):
        raise Refused("Two of these drums have the same label. Give each its own.", field="drums")
    if taken := Drum.objects.filter(firm=firm, label__in=trimmed).first():
        raise Refused(f"There is a drum {taken} already ({taken.item}). Write another label on the new one.", field="drums")


def same_drums_as_before(booked: Sequence[StockMove], drums: Sequence[NewDrum]) -> list[StockMove]:
    before = [(move.drum.label, move.quantity) for move in booked if move.drum]
    if before != [(drum.label.strip(), drum.metres) for drum in drums]:
        raise Refused("This form was saved once already, with other drums. Open it afresh to book something more.")
    return list(booked)


def whereabouts(drum: Drum) -> tuple[Location, Decimal]:
    """Where a drum is, and its metres left; an empty one is where it was last."""
    held = [(spot.place, metres) for spot, metres in load_balances(drum.firm, [drum.item_id]).of_item(drum.item_id)
            if spot.drum == drum.pk]
    places = Location.objects.filter(pk__in=[place for place, _ in held], kind__in=OWN_KINDS).in_bulk()
    own = [(places[place], metres) for place, metres in held if place in places]
    left = sum((metres for _, metres in own), Decimal(0))
    if own:
        return max(own, key=lambda entry: entry[1])[0], left
    last = drum.moves.filter(moved_to__kind__in=OWN_KINDS).select_related("moved_to").last()
    return (last.moved_to if last else firm_place(drum.firm, Kind.UNIT)), left


def _held_elsewhere(drum: Drum, moved_to: Location) -> list[tuple[Location, Decimal]]:
    balances = load_balances(drum.firm, [drum.item_id])
    places = Location.objects.filter(firm_id=drum.firm_id, kind__in=OWN_KINDS).exclude(pk=moved_to.pk).in_bulk()
    return [
        (places[spot.place], metres) for spot, metres in balances.of_item(drum.item_id)
        if spot.drum == drum.pk and spot.place in places
    ]


def _carry(drum: Drum, place: Location, moved_to: Location, metres: Decimal) -> Entry:
    """Metres go along; what a place owes of the drum is settled on the way."""
    if metres > 0:
        return Entry(drum.item, metres, place, moved_to, drum)
    return Entry(drum.item, -metres, moved_to, place, drum)


def _cut(drum: Drum, metres: Decimal, to: Location, operation: Operation, even_if_short: bool) -> list[StockMove]:
    check_quantity(drum.item, metres, "metres")
    hold_items(operation.firm, [drum.item_id])
    place, left = whereabouts(drum)
    entry = Entry(drum.item, metres, place, to, drum)
    if booked := list_booked(operation.firm, operation.op_id):
        return _same_cut(booked, entry)
    if not even_if_short:
        require_held(place, f"drum {drum}", left, metres, "metres")
    return book(operation, [entry])


def _same_cut(booked: list[StockMove], entry: Entry) -> list[StockMove]:
    """The drum may have been carried elsewhere since: what counts is the drum and the metres."""
    if [(move.drum_id, move.quantity) for move in booked] != [(entry.drum.pk, entry.quantity)]:
        raise Refused("This form was saved once already, with other figures. Open it afresh to book something more.")
    return booked

"""Ticking off a van list: what was put on moves to the van in the books, once; taking a tick back moves it home again."""

import uuid
from datetime import date, datetime
from decimal import Decimal

from django.core.exceptions import PermissionDenied
from django.db import transaction

from jobs.actions.drums import move_drum, whereabouts
from jobs.actions.locations import van_of
from jobs.actions.permission import Refused, require_member
from jobs.actions.stock import move
from jobs.actions.stock_book import hold_items
from jobs.models import Drum, Item, Location, Person, User, VanTick


@transaction.atomic
def put_on_van(
    *, person: Person, on: date, item: Item, place: Location, quantity: Decimal, op_id: uuid.UUID, by: User, at: datetime,
    drum: Drum | None = None,
) -> VanTick:
    """Something for a day was put on a person's van; a drum goes with all its metres. Twice the same id is once."""
    require_member(by, person, item, place, drum)
    _require_own_van(by, person)
    hold_items(by.firm, [item.pk])
    if ticked := VanTick.objects.filter(firm=by.firm, op_id=op_id).first():
        if VanTick.objects.filter(takes_back=ticked).exists():
            raise Refused(f"{item.name} was put on and taken off again since. Look at the list again.")
        return ticked
    van, note = van_of(person), "Van list"
    if drum:
        lies_at, quantity = whereabouts(drum)
        if lies_at != place:
            raise Refused(f"Drum {drum} is in {lies_at} by now, not in {place}. Look at the list again.")
        move_drum(drum=drum, moved_to=van, op_id=op_id, by=by, at=at, note=note)
    else:
        move(item=item, pieces=quantity, moved_from=place, moved_to=van, op_id=op_id, by=by, at=at, note=note)
    return VanTick.objects.create(
        firm=by.firm, op_id=op_id, person=person, on=on, item=item, drum=drum, place=place, quantity=quantity, made_by=by,
        made_at=at,
    )


@transaction.atomic
def take_off_van(*, tick: VanTick, by: User, at: datetime) -> VanTick:
    """It was not put on after all, or came off again: back to where it came from."""
    require_member(by, tick)
    _require_own_van(by, tick.person)
    hold_items(by.firm, [tick.item_id])
    if before := VanTick.objects.filter(takes_back=tick).first():
        return before
    if tick.takes_back_id:
        raise Refused("That was taken off already. Look at the list again.")
    op_id, van, note = uuid.uuid5(tick.op_id, "taken off"), van_of(tick.person), "Off the van list"
    if tick.drum:
        move_drum(drum=tick.drum, moved_to=tick.place, op_id=op_id, by=by, at=at, note=note)
    else:
        move(
            item=tick.item, pieces=tick.quantity, moved_from=van, moved_to=tick.place, op_id=op_id, by=by, at=at, note=note
        )
    return VanTick.objects.create(
        firm=by.firm, op_id=op_id, person=tick.person, on=tick.on, item=tick.item, drum=tick.drum, place=tick.place,
        quantity=tick.quantity, takes_back=tick, made_by=by, made_at=at,
    )


def _require_own_van(by: User, person: Person) -> None:
    if not by.is_office and by.person_id != person.pk:
        raise PermissionDenied("Only the office may load another person’s van.")

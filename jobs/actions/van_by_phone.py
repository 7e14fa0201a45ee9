"""Ticks of a van list as a phone sends them: what cannot be any more is refused in words, never an error."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from jobs.actions.permission import Refused
from jobs.actions.van_ticks import put_on_van, take_off_van
from jobs.models import Drum, Item, Person, User, VanTick
from jobs.queries.balances import all_places

LOOK_AGAIN = "The list has changed since this phone read it. Look at it again."
Details = Mapping[str, object]


def record_put_on(*, person: Person, details: Details, by: User, at: datetime) -> VanTick:
    """`details` as in `jobs.core.operations`, kind "put_on_van"."""
    _require_own_van(person, by)
    item = Item.objects.filter(firm=by.firm, code=details["thing"]).first()
    place = all_places(by.firm).filter(pk=details["place"]).first()
    drum = _drum(by, item, str(details["drum"]))
    if item is None or place is None or (item.is_cable and drum is None):
        raise Refused(LOOK_AGAIN)
    return put_on_van(
        person=person, on=date.fromisoformat(details["on"]), item=item, place=place, drum=drum,
        quantity=Decimal(details["quantity"]), op_id=UUID(details["line"]), by=by, at=at,
    )


def record_taken_off(*, person: Person, details: Details, by: User, at: datetime) -> VanTick:
    """`details` as in `jobs.core.operations`, kind "take_off_van"."""
    _require_own_van(person, by)
    related = ("item", "drum__item", "place", "person")
    tick = VanTick.objects.filter(firm=by.firm, person=person, op_id=details["line"]).select_related(*related).first()
    if tick is None:
        raise Refused(LOOK_AGAIN)
    return take_off_van(tick=tick, by=by, at=at)


def _drum(by: User, item: Item | None, label: str) -> Drum | None:
    if not label or item is None:
        return None
    drum = Drum.objects.filter(firm=by.firm, item=item, label=label).select_related("item", "firm").first()
    if drum is None:
        raise Refused(LOOK_AGAIN)
    return drum


def _require_own_van(person: Person, by: User) -> None:
    if not by.is_office and by.person_id != person.pk:
        raise Refused("Only the office may load another person’s van.")

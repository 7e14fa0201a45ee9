"""Points found on site, and what accepting them adds to the take-off."""

from collections import defaultdict
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import QuerySet

from jobs.core import catalogue as figures
from jobs.core import takeoff
from jobs.models import Item, Job, Room, Variation, VariationAnswer
from jobs.queries.takeoff import list_materials, load_house, load_job_catalogue


@dataclass(frozen=True)
class Effect:
    """What a variation adds: hours of labour, and pieces or metres by item."""

    labour_hours: Decimal
    materials: tuple[tuple[Item, Decimal], ...]


@dataclass(frozen=True)
class VariationRow:
    variation: Variation
    effect: Effect | None

    @property
    def customer_answer(self) -> VariationAnswer | None:
        """What the customer said last on their page."""
        return newest_answer(self.variation)


def load_variations(job: Job) -> list[VariationRow]:
    """Those that wait come first, with their effect; then those answered."""
    rows = list(_list(job))
    waiting = [row for row in rows if row.state == Variation.State.WAITING]
    before = load_house(job) if waiting else None
    catalogue = load_job_catalogue(job) if waiting else None
    found = [VariationRow(row, _effect(row, before, catalogue)) for row in waiting]
    return found + [VariationRow(row, None) for row in rows if row not in waiting]


def newest_answer(variation: Variation) -> VariationAnswer | None:
    """The customer's newest answer, of those fetched with the variation."""
    return next(reversed(list(variation.customer_answers.all())), None)


def list_room_variations(room: Room) -> QuerySet[Variation]:
    return _list(room.job).filter(room=room)



def _list(job: Job) -> QuerySet[Variation]:
    rows = Variation.objects.filter(room__job=job)
    rows = rows.select_related("room", "kind", "circuit", "made_by__person", "answered_by__person")
    return rows.prefetch_related("customer_answers")


def _effect(variation: Variation, house: takeoff.HouseSurvey, catalogue: figures.Catalogue) -> Effect:
    height = Decimal(variation.height_mm) / 1000 if variation.height_mm else None
    reference = variation.circuit.reference if variation.circuit else ""
    new = (takeoff.PointSurvey(variation.kind.code, reference, height),) * variation.quantity
    rooms = [replace(room, points=room.points + new) if room.key == variation.room_id else room for room in house.rooms]
    after = replace(house, rooms=tuple(rooms))
    hours = _hours(after, catalogue) - _hours(house, catalogue)
    more = _totals(after, catalogue)
    for code, quantity in _totals(house, catalogue).items():
        more[code] -= quantity
    items = {item.code: item for item in Item.objects.filter(firm_id=variation.firm_id, code__in=more)}
    changed = [(items[code], quantity) for code, quantity in more.items() if quantity]
    return Effect(hours, tuple(sorted(changed, key=lambda pair: pair[0].name)))


def _hours(house: takeoff.HouseSurvey, catalogue: figures.Catalogue) -> Decimal:
    return sum((task.hours for task in takeoff.list_tasks(house, catalogue)), Decimal(0))


def _totals(house: takeoff.HouseSurvey, catalogue: figures.Catalogue) -> dict[str, Decimal]:
    totals: dict[str, Decimal] = defaultdict(Decimal)
    for material in list_materials(house, catalogue):
        totals[material.item] += material.quantity
    return totals

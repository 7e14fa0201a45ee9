"""What goes on which van for a day's bookings."""

import uuid
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from jobs.core.netting import step
from jobs.core.van_load import Load, Trip, plan_loads
from jobs.models import Booking, Drum, Item, Location, Person, Plan, VanTick, WorkPackage
from jobs.queries.drums import DrumRow, list_drums
from jobs.queries.stock import Stores
from jobs.queries.van_ticks import Ticks


@dataclass
class FetchRow:
    """One thing to put on the van, from one place, with the drums that lie there, and what it is for.

    `op_ids` and `drum_ids` name the next ticks that put it, or one of the drums, on.
    """

    item: Item
    place: Location
    drums: list[DrumRow]
    op_ids: list[uuid.UUID]
    drum_ids: list[list[uuid.UUID]]
    quantity: Decimal = Decimal(0)
    packages: list[WorkPackage] = field(default_factory=list)

    @property
    def offers(self) -> list[tuple[Drum | None, list[uuid.UUID]]]:
        """What can be ticked: the things themselves, or each drum."""
        if not self.item.is_cable:
            return [(None, self.op_ids)]
        return list(zip([row.drum for row in self.drums], self.drum_ids, strict=True))


@dataclass
class VanList:
    """One person's day: where they go, what to put on, what was ticked as put on, and what (item, package, quantity)
    lies nowhere."""

    person: Person
    packages: list[WorkPackage]
    ticked: list[VanTick] = field(default_factory=list)
    to_fetch: list[FetchRow] = field(default_factory=list)
    missing: list[tuple[Item, WorkPackage, Decimal]] = field(default_factory=list)


def next_working_day(stores: Stores) -> date:
    return step(stores.today, 1, stores.calendar)


def load_van_lists(stores: Stores, plan: Plan | None, on: date) -> list[VanList]:
    """Everyone booked on a day, by name; then whoever put something on for it and is not booked any more."""
    bookings = _bookings(plan, on)
    trips, people, packages = _trips(stores, bookings)
    loads = plan_loads(trips, _needs(stores), _held(stores), _sites(stores), _sources(stores))
    drums, ticks = _drums(stores, loads), Ticks(stores.firm, on)
    lists = {pk: VanList(people[pk], [packages[trip.package] for trip in trips if trip.person == pk]) for pk in people}
    for load in sorted(loads, key=lambda each: (stores.items[each.item].unit, stores.items[each.item].name)):
        _add(stores, lists[load.person], load, packages[load.package], drums, ticks)
    for person, ticked in ticks.standing.items():
        lists.setdefault(person, VanList(ticked[0].person, [])).ticked = ticked
    return list(lists.values())


def _bookings(plan: Plan | None, on: date) -> list[tuple[int, int, Decimal]]:
    """(person, package, hours) of a day. Who goes alongside takes nothing."""
    if plan is None:
        return []
    rows = Booking.objects.filter(plan=plan, on=on, is_alongside=False).order_by()
    return list(rows.values_list("person", "package").annotate(total=Sum("hours")).order_by("person__name", "package"))


def _trips(stores: Stores, bookings: list) -> tuple[list[Trip], dict[int, Person], dict[int, WorkPackage]]:
    people = Person.objects.in_bulk({person for person, _, _ in bookings})
    packages = WorkPackage.objects.select_related("job", "area").in_bulk({package for _, package, _ in bookings})
    vans = {place.person_id: place.pk for place in stores.places if place.kind == Location.Kind.VAN and place.person_id}
    trips = [
        Trip(person, package, packages[package].job_id, float(hours), vans.get(person))
        for person, package, hours in bookings
    ]
    return trips, {person: people[person] for person, _, _ in bookings}, packages


def _needs(stores: Stores) -> dict[int, dict[int, Decimal]]:
    needs: dict[int, dict[int, Decimal]] = defaultdict(dict)
    for requirement in stores.needs.requirements:
        needs[requirement.key][requirement.item] = requirement.quantity
    return needs


def _held(stores: Stores) -> dict[tuple[int, int], Decimal]:
    held: dict[tuple[int, int], Decimal] = defaultdict(Decimal)
    for spot, quantity in stores.balances.quantities.items():
        held[spot.item, spot.place] += quantity
    return held


def _sites(stores: Stores) -> dict[int, int]:
    return {place.job_id: place.pk for place in stores.places if place.kind == Location.Kind.SITE}


def _sources(stores: Stores) -> list[int]:
    return [place.pk for place in stores.places if place.kind != Location.Kind.SITE]


def _drums(stores: Stores, loads: list[Load]) -> dict[tuple[int, int], list[DrumRow]]:
    cables = {load.item for load in loads if stores.items[load.item].is_cable}
    found: dict[tuple[int, int], list[DrumRow]] = defaultdict(list)
    for row in list_drums(stores.firm, items=cables, balances=stores.balances, places=stores.places) if cables else []:
        if row.place and row.metres > 0:
            found[row.drum.item_id, row.place.pk].append(row)
    return found


def _add(
    stores: Stores, van: VanList, load: Load, package: WorkPackage, drums: dict[tuple[int, int], list[DrumRow]],
    ticks: Ticks,
) -> None:
    """Things for several packages that come from one place are put on together."""
    item, places = stores.items[load.item], {place.pk: place for place in stores.places}
    for each in load.fetch:
        row = next((row for row in van.to_fetch if (row.item.pk, row.place.pk) == (item.pk, each.place)), None)
        if row is None:
            row = _fetch_row(item, places[each.place], drums[item.pk, each.place], van.person, ticks)
            van.to_fetch.append(row)
        row.quantity += each.quantity
        row.packages.append(package)
    if load.missing > 0:
        van.missing.append((item, package, load.missing))


def _fetch_row(item: Item, place: Location, drums: list[DrumRow], person: Person, ticks: Ticks) -> FetchRow:
    drum_ids = [ticks.next_ids(person.pk, item.pk, place.pk, row.drum.pk) for row in drums]
    return FetchRow(item, place, drums, ticks.next_ids(person.pk, item.pk, place.pk), drum_ids)

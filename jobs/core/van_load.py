"""What to put on each van the evening before, and where it lies."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

ZERO = Decimal(0)


@dataclass(frozen=True)
class Trip:
    """A package that a person goes to, and the place of their van (None: they have none)."""

    person: int
    package: int
    job: int
    hours: float
    van: int | None = None


@dataclass(frozen=True)
class Fetch:
    """A quantity to fetch from a place."""

    place: int
    quantity: Decimal


@dataclass
class Load:
    """One item for one package on one person's van: what the package still takes, where it is, what to fetch."""

    person: int
    package: int
    item: int
    needed: Decimal
    on_site: Decimal = ZERO
    on_van: Decimal = ZERO
    fetch: list[Fetch] = field(default_factory=list)

    @property
    def missing(self) -> Decimal:
        """What lies nowhere that can be fetched from."""
        return self.needed - self.on_site - self.on_van - sum((each.quantity for each in self.fetch), ZERO)


def plan_loads(
    trips: Sequence[Trip],
    needs: Mapping[int, Mapping[int, Decimal]],
    held: Mapping[tuple[int, int], Decimal],
    sites: Mapping[int, int],
    sources: Sequence[int],
) -> list[Load]:
    """The loads of a day, in the order of the trips.

    `needs`: package → item → quantity still to take. `held`: (item, place) → quantity. `sites`: job → its site.
    `sources`: places to fetch from, in order; a person's own van is never fetched from by others while they need it.
    A package that several people go to is loaded by the one with most hours there.
    """
    left = defaultdict(Decimal, {key: max(quantity, ZERO) for key, quantity in held.items()})
    loads = [
        Load(trip.person, trip.package, item, quantity)
        for trip in _carriers(trips) for item, quantity in needs.get(trip.package, {}).items()
    ]
    by_key = {(trip.person, trip.package): trip for trip in trips}
    for load in loads:
        trip = by_key[load.person, load.package]
        load.on_site = _take(left, load.item, sites.get(trip.job), load.needed)
    for load in loads:
        trip = by_key[load.person, load.package]
        load.on_van = _take(left, load.item, trip.van, load.needed - load.on_site)
    for load in loads:
        load.fetch = list(_fetch(load, left, sources))
    return loads


def _carriers(trips: Iterable[Trip]) -> list[Trip]:
    best: dict[int, Trip] = {}
    for trip in trips:
        rival = best.get(trip.package)
        if rival is None or (trip.van is not None, trip.hours) > (rival.van is not None, rival.hours):
            best[trip.package] = trip
    return [trip for trip in trips if best[trip.package] is trip]


def _take(left: dict[tuple[int, int], Decimal], item: int, place: int | None, wanted: Decimal) -> Decimal:
    if place is None:
        return ZERO
    taken = min(left[item, place], wanted)
    left[item, place] -= taken
    return taken


def _fetch(load: Load, left: dict[tuple[int, int], Decimal], sources: Sequence[int]) -> Iterable[Fetch]:
    wanted = load.needed - load.on_site - load.on_van
    for place in sources:
        taken = _take(left, load.item, place, wanted)
        wanted -= taken
        if taken:
            yield Fetch(place, taken)

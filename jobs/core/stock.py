"""Stock is the fold of its moves: what lies where, how many metres each drum has left, what fell below zero."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

ZERO = Decimal(0)


@dataclass(frozen=True)
class Move:
    """A quantity (pieces, or metres of cable; above zero) of an item from one place to another.

    `drum` names the drum the metres are on; pieces, and metres whose drum nobody knows, have none.
    """

    item: int
    quantity: Decimal
    moved_from: int
    moved_to: int
    drum: int | None = None


class Spot(NamedTuple):
    """Where something lies: an item in a place, loose or on a drum."""

    item: int
    place: int
    drum: int | None = None


class Taking(NamedTuple):
    """A quantity to take from a spot."""

    spot: Spot
    quantity: Decimal


@dataclass(frozen=True)
class Balances:
    """Quantity at each spot that is not zero. A negative one means that more was taken than was booked in."""

    quantities: Mapping[Spot, Decimal]

    @cached_property
    def _by_item(self) -> dict[int, list[tuple[Spot, Decimal]]]:
        grouped = defaultdict(list)
        for spot, quantity in sorted(self.quantities.items(), key=lambda entry: (entry[0].place, entry[0].drum or 0)):
            grouped[spot.item].append((spot, quantity))
        return grouped

    def of_item(self, item: int) -> list[tuple[Spot, Decimal]]:
        """Where an item lies and how much: place by place, loose before drums."""
        return list(self._by_item.get(item, ()))

    def at(self, item: int, place: int) -> Decimal:
        """Everything of an item in a place, loose and on drums."""
        return sum((quantity for spot, quantity in self.of_item(item) if spot.place == place), ZERO)

    def loose(self, item: int, place: int) -> Decimal:
        """What of an item lies in a place on no drum; 0 when nothing does."""
        return self.quantities.get(Spot(item, place), ZERO)

    def total(self, item: int, places: Iterable[int]) -> Decimal:
        """Everything of an item in those places, loose and on drums; a place named twice counts once."""
        wanted = set(places)
        return sum((quantity for spot, quantity in self.of_item(item) if spot.place in wanted), ZERO)

    def by_place(self, item: int, places: Iterable[int]) -> dict[int, Decimal]:
        """Quantity of an item in each of `places` that holds (or owes) some."""
        wanted, found = set(places), defaultdict(Decimal)
        for spot, quantity in self.of_item(item):
            if spot.place in wanted:
                found[spot.place] += quantity
        return {place: quantity for place, quantity in found.items() if quantity}

    def drums(self, places: Iterable[int]) -> list[tuple[Spot, Decimal]]:
        """Every drum in `places` with its metres left, which may be negative."""
        wanted = set(places)
        return [(spot, metres) for spot, metres in self.quantities.items() if spot.drum and spot.place in wanted]

    def negative(self, places: Iterable[int]) -> list[tuple[Spot, Decimal]]:
        """Spots in `places` that owe something: the records there need a count."""
        wanted = set(places)
        return [(spot, left) for spot, left in self.quantities.items() if left < 0 and spot.place in wanted]


def fold(moves: Iterable[Move]) -> Balances:
    """Balances after all moves; their order does not matter."""
    quantities: dict[Spot, Decimal] = defaultdict(Decimal)
    for move in moves:
        quantities[Spot(move.item, move.moved_to, move.drum)] += move.quantity
        quantities[Spot(move.item, move.moved_from, move.drum)] -= move.quantity
    return Balances({spot: quantity for spot, quantity in quantities.items() if quantity})


def take_pieces(balances: Balances, item: int, quantity: Decimal, places: Sequence[int]) -> list[Taking]:
    """Where `quantity` comes from, `places` tried in order; what none of them has is owed by the first."""
    spots = [Spot(item, place) for place in places]
    takings, left = _drain(balances, spots, quantity)
    return _owe(takings, spots[0], left)


def take_cable(balances: Balances, item: int, metres: Decimal, places: Sequence[int]) -> list[Taking]:
    """Drums that `metres` come from: one that holds them all if there is one (the shortest such, so that long
    lengths stay long), else several, longest first; what no drum holds is owed loose by the first place.
    """
    held = {spot: left for spot, left in balances.drums(places) if spot.item == item and left > 0}
    nearest = sorted(held, key=lambda spot: (places.index(spot.place), held[spot]))
    whole = next((spot for spot in nearest if held[spot] >= metres), None)
    if whole:
        return [Taking(whole, metres)]
    longest_first = sorted(held, key=lambda spot: (places.index(spot.place), -held[spot]))
    takings, left = _drain(balances, longest_first, metres)
    return _owe(takings, Spot(item, places[0]), left)


def _drain(balances: Balances, spots: Iterable[Spot], quantity: Decimal) -> tuple[list[Taking], Decimal]:
    takings, left = [], quantity
    for spot in spots:
        taken = min(left, balances.quantities.get(spot, ZERO))
        if taken > 0:
            takings.append(Taking(spot, taken))
            left -= taken
    return takings, left


def _owe(takings: list[Taking], spot: Spot, left: Decimal) -> list[Taking]:
    """Add what is still wanted to the taking from `spot`."""
    if left <= 0:
        return takings
    already = sum((taking.quantity for taking in takings if taking.spot == spot), ZERO)
    return [*(taking for taking in takings if taking.spot != spot), Taking(spot, already + left)]

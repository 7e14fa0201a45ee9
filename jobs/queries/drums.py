"""Drums and offcuts with their metres left, and what a cut list may be cut from."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cut_list import Kind, Length
from jobs.core.stock import Balances
from jobs.models import Drum, Firm, Item, Job, Location
from jobs.queries.balances import list_own_places, load_own_balances

KIND_WORDS = {Kind.OFFCUT: "offcut", Kind.STARTED: "started", Kind.SEALED: "not started", Kind.NEW: "to buy"}


@dataclass(frozen=True)
class DrumRow:
    """A drum, its metres left in all, and the place that holds most of it (None: empty)."""

    drum: Drum
    metres: Decimal
    place: Location | None

    @property
    def is_negative(self) -> bool:
        return self.metres < 0

    @property
    def percent(self) -> int:
        return max(0, min(100, round(self.metres / self.drum.full_metres * 100)))

    @property
    def kind(self) -> Kind:
        """A length that came in shorter than a full drum is an offcut."""
        if self.drum.full_metres < self.drum.item.pack_size:
            return Kind.OFFCUT
        return Kind.SEALED if self.metres == self.drum.full_metres else Kind.STARTED

    @property
    def kind_words(self) -> str:
        return KIND_WORDS[self.kind]


def list_drums(
    firm: Firm, *, items: Collection[int] | None = None, with_empty: bool = False,
    balances: Balances | None = None, places: Collection[Location] | None = None,
) -> list[DrumRow]:
    """Drums by item and label; empty ones only when asked for. Balances and places are read unless given."""
    balances = balances or load_own_balances(firm, items)
    own = {place.pk: place for place in places or list_own_places(firm)}
    held: dict[int, list[tuple[Decimal, int]]] = {}
    for spot, metres in balances.drums(own):
        held.setdefault(spot.drum, []).append((metres, spot.place))
    drums = Drum.objects.filter(firm=firm).select_related("item").order_by("item__name", "label")
    if items is not None:
        drums = drums.filter(item__in=items)
    if not with_empty:
        drums = drums.filter(pk__in=held)
    return [_row(drum, held.get(drum.pk, []), own) for drum in drums]


def load_drum(drum: Drum) -> DrumRow:
    rows = list_drums(drum.firm, items=[drum.item_id], with_empty=True)
    return next(row for row in rows if row.drum.pk == drum.pk)


def _row(drum: Drum, held: list[tuple[Decimal, int]], places: dict[int, Location]) -> DrumRow:
    metres = sum((metres for metres, _ in held), Decimal(0))
    return DrumRow(drum, metres, places[max(held)[1]] if held else None)


def next_labels(firm: Firm, count: int) -> list[str]:
    """Labels to write on the next drums: they go on from the highest of D1, D2, …"""
    labels = Drum.objects.filter(firm=firm, label__regex=r"^D[0-9]{1,9}$").values_list("label", flat=True)
    highest = max((int(label[1:]) for label in labels), default=0)
    return [f"D{highest + number + 1}" for number in range(count)]


def list_lengths(rows: Collection[DrumRow], item: Item, job: Job) -> list[Length]:
    """What a job's runs of a cable may be cut from: drums in the unit, on vans and on its own site."""
    reachable = [
        row for row in rows
        if row.drum.item_id == item.pk and row.metres > 0 and row.place and row.place.job_id in {None, job.pk}
    ]
    return [Length(row.drum.label, row.metres, row.kind, str(row.place)) for row in reachable]

"""Rows of the stores pages: balances by item, what is short, what a job still needs, the moves of an item."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet

from jobs.core import curve
from jobs.core.netting import Projection, Waiting
from jobs.models import Drum, Firm, Item, Job, Location, StockMove, Supplier, WorkPackage
from jobs.queries.needs import Needs
from jobs.queries.stock import ShortageRow, Stores

MOVES_SHOWN = 50
Held = list[tuple[Location, Decimal]]


@dataclass(frozen=True)
class ItemRow:
    """An item with what lies where. `shortages` are the item's own, the most urgent first."""

    item: Item
    held: Held
    projection: Projection
    shortages: tuple[ShortageRow, ...]

    @property
    def total(self) -> Decimal:
        return sum((quantity for _, quantity in self.held), Decimal(0))

    @property
    def is_negative(self) -> bool:
        return any(quantity < 0 for _, quantity in self.held)

    @property
    def is_below_minimum(self) -> bool:
        return self.projection.is_below_minimum

    @property
    def first(self) -> ShortageRow | None:
        return self.shortages[0] if self.shortages else None

    @property
    def short(self) -> Decimal:
        return sum((row.quantity for row in self.shortages), Decimal(0))

    @property
    def to_order(self) -> Decimal:
        return self.projection.to_order(self.item.pack_size)


def item_row(stores: Stores, item: Item) -> ItemRow:
    own = tuple(row for row in stores.shortages if row.item.pk == item.pk)
    return ItemRow(item, held_of(stores, item), stores.projection(item), own)


def held_of(stores: Stores, item: Item) -> Held:
    by_place = stores.balances.by_place(item.pk, [place.pk for place in stores.places])
    return [(place, by_place[place.pk]) for place in stores.places if place.pk in by_place]


FILTERS = {"": "Everything", "short": "Short", "low": "Below minimum", "owed": "Below nought", "held": "In stock"}


def list_item_rows(stores: Stores, words: str = "", only: str = "") -> list[ItemRow]:
    """Items whose name or code holds every word; short ones first by urgency, then owed, then low, then by name."""
    wanted = [word.casefold() for word in words.split()]
    by_item: dict[int, list[ShortageRow]] = defaultdict(list)
    for row in stores.shortages:
        by_item[row.item.pk].append(row)
    rows = [
        ItemRow(item, held_of(stores, item), stores.projection(item), tuple(by_item[item.pk]))
        for item in stores.items.values()
        if all(word in f"{item.name} {item.code}".casefold() for word in wanted)
    ]
    urgency = {item: number for number, item in enumerate(by_item)}
    return sorted((row for row in rows if _fits(row, only)), key=lambda row: _rank(row, urgency))


def _rank(row: ItemRow, urgency: dict[int, int]) -> tuple:
    return urgency.get(row.item.pk, len(urgency)), not row.is_negative, not row.is_below_minimum, row.item.name


def _fits(row: ItemRow, only: str) -> bool:
    return {
        "short": bool(row.shortages), "low": row.is_below_minimum, "owed": row.is_negative, "held": row.total > 0
    }.get(only, True)


def draw_projection(stores: Stores, projection: Projection) -> curve.Curve | None:
    """The item's balance in time; nothing to draw when nothing will change."""
    if not projection.days:
        return None
    steps = [(day.on, day.balance) for day in projection.days]
    return curve.draw(stores.today, projection.opening, steps, projection.keep_at_least)


def list_moves(*, item: Item | None = None, drum: Drum | None = None) -> list[StockMove]:
    """The latest moves of an item or a drum, the newest first."""
    wanted = Q(drum=drum) if drum else Q(item=item)
    firm = (drum or item).firm_id
    moves: QuerySet[StockMove] = StockMove.objects.filter(wanted, firm_id=firm).order_by("-made_at", "-pk")
    related = ("moved_from", "moved_to", "made_by__person", "drum", "job", "task__room", "order_line__order")
    return list(moves.select_related(*related)[:MOVES_SHOWN])


@dataclass(frozen=True)
class NeedRow:
    """An item that a job still takes. `elsewhere` lies in the unit and on vans, for anyone."""

    item: Item
    quantity: Decimal
    packages: tuple[tuple[WorkPackage, Decimal], ...]
    on_site: Decimal
    elsewhere: Decimal
    to_come: Decimal
    shortages: tuple[ShortageRow, ...]

    @property
    def short(self) -> Decimal:
        return sum((row.quantity for row in self.shortages), Decimal(0))


def list_needs(stores: Stores, needs: Needs, job: Job) -> list[NeedRow]:
    """What a job still takes, short items first."""
    by_item: dict[int, list[tuple[WorkPackage, Decimal]]] = defaultdict(list)
    for requirement in needs.of_job(job):
        by_item[requirement.item].append((needs.packages[requirement.key], requirement.quantity))
    short: dict[int, list[ShortageRow]] = defaultdict(list)
    for row in stores.shortages:
        if row.package.job_id == job.pk:
            short[row.item.pk].append(row)
    rows = [_need_row(stores, stores.items[item], job, parts, short[item]) for item, parts in by_item.items()]
    return sorted(rows, key=lambda row: (not row.shortages, not row.item.is_cable, row.item.name))


def _need_row(
    stores: Stores, item: Item, job: Job, parts: list[tuple[WorkPackage, Decimal]], short: list[ShortageRow]
) -> NeedRow:
    held = held_of(stores, item)
    return NeedRow(
        item=item,
        quantity=sum((quantity for _, quantity in parts), Decimal(0)),
        packages=tuple(parts),
        on_site=_total(quantity for place, quantity in held if place.job_id == job.pk),
        elsewhere=_total(quantity for place, quantity in held if place.job_id is None),
        to_come=_total(row.to_come for row in stores.to_come if row.line.item_id == item.pk),
        shortages=tuple(short),
    )


def _total(quantities: Iterable[Decimal]) -> Decimal:
    return sum(quantities, Decimal(0))


def list_items(firm: Firm) -> list[Item]:
    return list(Item.objects.filter(firm=firm))


def list_suppliers(firm: Firm) -> list[Supplier]:
    return list(Supplier.objects.filter(firm=firm))


@dataclass(frozen=True)
class WaitingRow:
    """A package that waits for something on an order."""

    item: Item
    package: WorkPackage
    waiting: Waiting


def list_waiting(stores: Stores) -> dict[int, list[WaitingRow]]:
    """Order pk → the packages that need what it brings, in the order of the plan."""
    rows: dict[int, list[WaitingRow]] = defaultdict(list)
    for projection in stores.projections.values():
        for each in projection.waiting:
            item, package = stores.items[each.requirement.item], stores.needs.packages[each.requirement.key]
            rows[each.order].append(WaitingRow(item, package, each))
    for own in rows.values():
        own.sort(key=lambda row: row.waiting.requirement.order)
    return rows

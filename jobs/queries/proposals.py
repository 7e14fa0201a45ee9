"""What to order now: by supplier, and by the day from which it is needed."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from jobs.models import Supplier
from jobs.queries.stock import ShortageRow
from jobs.queries.stores_page import ItemRow


@dataclass(frozen=True)
class Batch:
    """Items of one supplier first needed on one day (None: no day yet, or only to be kept in stock)."""

    needed_on: date | None
    rows: tuple[ItemRow, ...]

    @property
    def first(self) -> ShortageRow | None:
        """The shortage that must be ordered first."""
        firsts = [row.first for row in self.rows if row.first]
        return min(firsts, key=lambda row: (row.latest_order_at is None, row.latest_order_at)) if firsts else None


@dataclass(frozen=True)
class Proposal:
    """`supplier` None: items that nobody supplies."""

    supplier: Supplier | None
    batches: tuple[Batch, ...]

    @property
    def count(self) -> int:
        return sum(len(batch.rows) for batch in self.batches)


def list_proposals(rows: Iterable[ItemRow], *, written: Collection[int] = ()) -> list[Proposal]:
    """Items to order, in batches by the day they are first short; suppliers by name, items without one last.

    `written`: items (pks) on an order that waits to be sent; they are not proposed twice.
    """
    by_supplier: dict[Supplier | None, dict[date | None, list[ItemRow]]] = {}
    for row in rows:
        if row.to_order and row.item.pk not in written:
            by_supplier.setdefault(row.item.supplier, {}).setdefault(_needed_on(row), []).append(row)
    proposals = [Proposal(supplier, tuple(_batches(days))) for supplier, days in by_supplier.items()]
    return sorted(proposals, key=lambda each: (each.supplier is None, str(each.supplier)))


def _needed_on(row: ItemRow) -> date | None:
    days = [each.needed_on for each in row.shortages if each.needed_on]
    return min(days, default=None)


def _batches(days: dict[date | None, list[ItemRow]]) -> Iterable[Batch]:
    for on in sorted(days, key=lambda day: day or date.max):
        yield Batch(on, tuple(days[on]))

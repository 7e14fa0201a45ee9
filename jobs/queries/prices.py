"""Prices of a firm's items, and what a job's materials cost. For the office alone."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Sum

from jobs.core import prices
from jobs.core.prices import PriceBook
from jobs.models import Firm, Item, Job, Location, MaterialNeed, Price, StockMove

Quantities = dict[int, Decimal]


def load_price_book(firm: Firm, items: Collection[int] | None = None) -> PriceBook:
    """Every price, or those of the items given (pks), in two queries."""
    rows, usual = Price.objects.filter(firm=firm), Item.objects.filter(firm=firm)
    if items is not None:
        rows, usual = rows.filter(item_id__in=items), usual.filter(pk__in=items)
    columns = ("item_id", "pence", "per_quantity", "from_on", "supplier_id", "pk")
    return PriceBook(
        [prices.Price(*row) for row in rows.values_list(*columns)], dict(usual.values_list("pk", "supplier_id"))
    )


def list_prices(item: Item) -> list[Price]:
    """An item's prices, the newest first."""
    return list(item.prices.select_related("supplier", "made_by__person").order_by("-from_on", "-made_at", "-pk"))


@dataclass(frozen=True)
class CostRow:
    """What a job takes of an item and what was used; pence are None where no price was known."""

    item: Item
    planned: Decimal
    planned_pence: int | None
    used: Decimal
    used_pence: int | None


@dataclass(frozen=True)
class JobCost:
    """`unpriced`: items that the sums leave out for want of a price."""

    rows: tuple[CostRow, ...]

    @property
    def planned_pence(self) -> int:
        return sum(row.planned_pence or 0 for row in self.rows)

    @property
    def used_pence(self) -> int:
        return sum(row.used_pence or 0 for row in self.rows)

    @property
    def unpriced(self) -> list[Item]:
        return [row.item for row in self.rows if row.planned_pence is None or row.used_pence is None]


def load_job_cost(job: Job, now: datetime) -> JobCost:
    """The take-off at the prices of today, and what is fitted at the prices of the days it was booked as used.

    Stock that comes back is credited at the price of the day it came back.
    """
    zone = ZoneInfo(job.firm.zone)
    planned, used = _load_planned(job), _load_used(job, zone)
    wanted = [*planned, *used]
    items, book = Item.objects.in_bulk(wanted), load_price_book(job.firm, wanted)
    today = now.astimezone(zone).date()
    rows = [_row(items[pk], planned.get(pk, Decimal(0)), used.get(pk, {}), book, today) for pk in items]
    return JobCost(tuple(sorted(rows, key=lambda row: (not row.item.is_cable, row.item.name))))


def _row(item: Item, planned: Decimal, used: dict[date, Decimal], book: PriceBook, today: date) -> CostRow:
    costs = [book.cost(item.pk, quantity, on) for on, quantity in used.items() if quantity]
    used_pence = None if None in costs else sum(costs)
    planned_pence = book.cost(item.pk, planned, today) if planned else 0
    return CostRow(item, planned, planned_pence, sum(used.values(), Decimal(0)), used_pence)


def _load_planned(job: Job) -> Quantities:
    needs = MaterialNeed.objects.filter(package__job=job).order_by()
    return dict(needs.values_list("item").annotate(total=Sum("quantity")))


def _load_used(job: Job, zone: ZoneInfo) -> dict[int, dict[date, Decimal]]:
    """Item → day → what was fitted less what was taken back."""
    used: dict[int, dict[date, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for place, sign in (("moved_to", 1), ("moved_from", -1)):
        moves = StockMove.objects.filter(**{f"{place}__job": job, f"{place}__kind": Location.Kind.FITTED})
        for item, at, pieces, metres in moves.values_list("item", "made_at", "pieces", "cable_metres"):
            used[item][at.astimezone(zone).date()] += sign * (metres if pieces is None else pieces)
    return used

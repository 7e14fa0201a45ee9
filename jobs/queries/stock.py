"""Netting for pages and planner: shortages, arrivals, and each item's stock in time."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cached_property
from zoneinfo import ZoneInfo

from jobs.core import netting
from jobs.core.netting import Arrival, OnHand, Projection, Requirement, Shortage, Supply
from jobs.core.stages import Half, Stage
from jobs.core.stock import Balances
from jobs.core.workdays import Calendar, days_between
from jobs.models import Firm, Item, Location, Plan, Supplier, SupplierClosure, WorkPackage
from jobs.queries.balances import list_own_places, load_own_balances
from jobs.queries.firm_calendar import load_calendar
from jobs.queries.needs import Needs, load_needs
from jobs.queries.orders import LineRow, load_lines_to_come
from jobs.queries.plans import find_draft, find_issued

__all__ = ["list_shortages", "load_arrivals", "load_stores"]


@dataclass(frozen=True)
class ShortageRow:
    """A shortage as people read it. Moments are aware; `needed_on` None: the plan has no day for the package yet."""

    item: Item
    package: WorkPackage
    shortage: Shortage
    zone: ZoneInfo

    @property
    def quantity(self) -> Decimal:
        return self.shortage.quantity

    @property
    def needed_on(self) -> date | None:
        return self.shortage.requirement.needed_on

    @property
    def half(self) -> Half:
        return self.shortage.requirement.half

    @property
    def stage(self) -> Stage:
        return Stage(self.package.stage)

    @property
    def latest_order_at(self) -> datetime | None:
        at = self.shortage.latest_order_at
        return at.replace(tzinfo=self.zone) if at else None

    def is_missed(self, now: datetime) -> bool:
        """Whether ordering now is too late for the plan."""
        return self.latest_order_at is not None and self.latest_order_at < now


@dataclass(frozen=True)
class Stores:
    """A firm's stock at one moment: rows as they were read, and each item's projection."""

    firm: Firm
    items: dict[int, Item]
    places: list[Location]
    balances: Balances
    needs: Needs
    to_come: list[LineRow]
    projections: dict[int, Projection]
    calendar: Calendar
    local_now: datetime
    closed: dict[int, frozenset[date]]

    @property
    def today(self) -> date:
        return self.local_now.date()

    @cached_property
    def shortages(self) -> list[ShortageRow]:
        """Those that bite first come first; the latest moment to order decides between them."""
        zone = ZoneInfo(self.firm.zone)
        rows = [
            ShortageRow(self.items[shortage.requirement.item], self.needs.packages[shortage.requirement.key], shortage, zone)
            for projection in self.projections.values() for shortage in projection.shortages
        ]
        return sorted(rows, key=_urgency)

    def swap_key(self, item: Item) -> int:
        """The item under which this one is netted."""
        return item.stands_in_for_id or item.pk

    def projection(self, item: Item) -> Projection:
        supply = _supply(item, self.firm, self.closed)
        empty = Projection(item.pk, Decimal(0), keep_at_least=supply.keep_at_least)
        return self.projections.get(self.swap_key(item), empty)


def load_stores(firm: Firm, plan: Plan | None, now: datetime) -> Stores:
    """Everything about stock, netted against `plan`, in a fixed number of queries."""
    local = now.astimezone(ZoneInfo(firm.zone)).replace(tzinfo=None)
    return _net(firm, plan, local)


def load_stores_until(firm: Firm, plan: Plan | None, now: datetime, until: date | None) -> Stores:
    """The same, netted only against what is needed by the day `until`: stock goes to what comes first, so shortages by
    then are what they are in the whole. What other sites have to spare counts nothing that they need later."""
    local = now.astimezone(ZoneInfo(firm.zone)).replace(tzinfo=None)
    return _net(firm, plan, local, until)


def list_shortages(firm: Firm, plan: Plan | None, now: datetime, until: date | None = None) -> list[ShortageRow]:
    """What the plan needs, by the day `until` if it is given, and stores and orders do not cover, the most urgent first."""
    return load_stores_until(firm, plan, now, until).shortages


def load_arrivals(firm: Firm, today: date) -> dict[int, date]:
    """Package pk → the day from which everything it lacks can be there: from an order, or if it is ordered today.

    Stock is given out in the order of the draft, or of the issued plan while there is no draft. What is not ordered
    and can be here by the next working day holds nothing up: there is time to order it.
    """
    stores = _net(firm, find_draft(firm) or find_issued(firm), datetime.combine(today, time.min))
    tomorrow = netting.step(today, 1, stores.calendar)
    starts: dict[int, date] = {}
    for row in stores.shortages:
        on = row.shortage.can_start_on
        if row.shortage.covered_on or on > tomorrow:
            starts[row.package.pk] = max(on, starts.get(row.package.pk, on))
    return starts


def _net(firm: Firm, plan: Plan | None, now: datetime, until: date | None = None) -> Stores:
    items = {item.pk: item for item in Item.objects.filter(firm=firm).select_related("supplier")}
    places, balances, needs = list_own_places(firm), load_own_balances(firm), load_needs(firm, plan, until=until)
    to_come, calendar = load_lines_to_come(firm), load_calendar(firm, now.date())
    closed = load_closed(firm, now.date())
    projections = netting.net(
        needs.requirements,
        _on_hand(balances, places),
        [Arrival(row.line.item_id, row.to_come, row.line.order.expected_on, row.line.order_id) for row in to_come],
        {item.pk: _supply(item, firm, closed) for item in items.values()},
        now=now,
        calendar=calendar,
        groups={item.pk: item.stands_in_for_id for item in items.values() if item.stands_in_for_id},
    )
    return Stores(firm, items, places, balances, needs, to_come, projections, calendar, now, closed)


def _on_hand(balances: Balances, places: Iterable[Location]) -> list[OnHand]:
    jobs = {place.pk: place.job_id for place in places}
    held = balances.quantities.items()
    return [OnHand(spot.item, quantity, jobs[spot.place]) for spot, quantity in held if spot.place in jobs]


def find_next_cut_off(firm: Firm, now: datetime) -> datetime | None:
    """The next moment of the firm's day at which it becomes too late to order for the next one, from any supplier."""
    zone = ZoneInfo(firm.zone)
    own = Supplier.objects.filter(firm=firm, order_cut_off__isnull=False).values_list("order_cut_off", flat=True)
    moments = (datetime.combine(now.astimezone(zone).date(), at, zone) for at in {firm.order_cut_off, *own})
    return min((moment for moment in moments if moment >= now), default=None)


Closed = dict[int, frozenset[date]]


def load_closed(firm: Firm, today: date) -> Closed:
    """Supplier pk → the days it is closed, from a week ago on."""
    days: dict[int, set[date]] = defaultdict(set)
    rows = SupplierClosure.objects.filter(firm=firm, last_on__gte=today - timedelta(days=7))
    for supplier, first, last in rows.values_list("supplier_id", "first_on", "last_on"):
        days[supplier].update(days_between(first, last))
    return {supplier: frozenset(shut) for supplier, shut in days.items()}


def _supply(item: Item, firm: Firm, closed: Closed) -> Supply:
    return replace(supply_of(item.supplier, firm, closed), keep_at_least=Decimal(item.keep_at_least))


def supply_of(supplier: Supplier | None, firm: Firm, closed: Closed) -> Supply:
    """How a supplier delivers; without one, on the next working day."""
    if supplier is None:
        return Supply(cut_off=firm.order_cut_off)
    cut_off = supplier.order_cut_off or firm.order_cut_off
    return Supply(supplier.lead_working_days, cut_off, closed=closed.get(supplier.pk, frozenset()))


def _urgency(row: ShortageRow) -> tuple:
    at = row.shortage.latest_order_at
    return at is None, at, row.needed_on or date.max, row.item.name, row.package.pk


def requirements_of(stores: Stores, item: Item) -> list[Requirement]:
    return [each for each in stores.needs.requirements if stores.swap_key(stores.items[each.item]) == stores.swap_key(item)]

"""What a week's work will not find in the stores."""

from dataclasses import dataclass
from datetime import date, timedelta

from jobs.core.netting import Shortage
from jobs.models import Firm, Item, Plan, WorkPackage
from jobs.queries.stock import list_shortages


@dataclass(frozen=True)
class WeekShortage:
    """An item that a package will lack, and what to do about it, in a sentence."""

    shortage: Shortage
    item: Item
    package: WorkPackage
    words: str


def list_week_shortages(firm: Firm, plan: Plan | None, monday: date, today: date) -> list[WeekShortage]:
    """Shortages that bite in the week from `monday` on."""
    if plan is None or monday + timedelta(days=7) <= today:
        return []
    found = [row for row in list_shortages(firm, plan, today) if _bites(row, monday)]
    items = Item.objects.filter(firm=firm).in_bulk({row.requirement.item for row in found})
    packages = WorkPackage.objects.filter(firm=firm).select_related("area", "job")
    packages = packages.in_bulk({row.requirement.key for row in found})
    return [_worded(row, items[row.requirement.item], packages[row.requirement.key]) for row in found]


def _bites(row: Shortage, monday: date) -> bool:
    needed_on = row.requirement.needed_on
    return needed_on is not None and monday <= needed_on < monday + timedelta(days=7)


def _worded(row: Shortage, item: Item, package: WorkPackage) -> WeekShortage:
    unit = "m" if item.is_cable else "×"
    on, half = row.requirement.needed_on, row.requirement.half
    lack = f"{row.quantity:g} {unit} {item} short for {package}, {package.job}, {on:%a} {on.day} {on:%b} {half.label}."
    return WeekShortage(row, item, package, f"{lack} {_remedy(row)}")


def _remedy(row: Shortage) -> str:
    if row.covered_on:
        return f"What is on order comes {row.covered_on:%a} {row.covered_on.day} {row.covered_on:%b}."
    at = row.latest_order_at
    return f"Order by {at:%a} {at.day} {at:%b}, {at:%H:%M}." if at else "Order it now."

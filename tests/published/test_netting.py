"""Netting against a worked table of material requirements planning."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from jobs.core import netting
from jobs.core.netting import OnHand, Requirement, Supply
from jobs.core.workdays import Calendar

# Heizer & Render, Operations Management, chapter on material requirements planning, the speaker-kit example:
# A = 2 B + 3 C, B = 2 D + 2 E, C = 2 E + 2 F, F = 2 D + G; 50 A wanted in week 8. Values from memory of the textbook.
PARTS = {"A": {"B": 2, "C": 3}, "B": {"D": 2, "E": 2}, "C": {"E": 2, "F": 2}, "F": {"D": 2, "G": 1}}
ON_HAND = {"A": 10, "B": 15, "C": 20, "D": 10, "E": 10, "F": 5, "G": 0}
LEAD_WEEKS = {"A": 1, "B": 2, "C": 1, "D": 1, "E": 2, "F": 3, "G": 2}
NET_REQUIREMENTS = {
    "A": {8: 40}, "B": {7: 65}, "C": {7: 100}, "E": {5: 120, 6: 200}, "F": {6: 195}, "D": {3: 380, 5: 130}, "G": {3: 195},
}
PLANNED_ORDERS = {
    "A": {7: 40}, "B": {5: 65}, "C": {6: 100}, "E": {3: 120, 4: 200}, "F": {3: 195}, "D": {2: 380, 4: 130}, "G": {1: 195},
}

WEEK_0 = date(2027, 2, 1)
EVERY_DAY = Calendar(weekdays=frozenset(range(7)))
"""A week of the textbook is a day here: every day works, none is a bank holiday."""


def week(number: int) -> date:
    return WEEK_0 + timedelta(days=number)


def explode(net_orders: dict[str, dict[int, int]]) -> dict[str, dict[int, int]]:
    """Gross requirements of each part from the planned orders of what it goes into."""
    gross: dict[str, dict[int, int]] = {"A": {8: 50}}
    for whole, parts in PARTS.items():
        for part, per in parts.items():
            for when, quantity in net_orders[whole].items():
                weeks = gross.setdefault(part, {})
                weeks[when] = weeks.get(when, 0) + per * quantity
    return gross


def net_part(part: str, gross: dict[int, int]) -> list[netting.Shortage]:
    requirements = [Requirement(when, 1, Decimal(quantity), week(when)) for when, quantity in gross.items()]
    supplies = {1: Supply(lead_working_days=LEAD_WEEKS[part], cut_off=time(12, 0))}
    on_hand = [OnHand(1, Decimal(ON_HAND[part]))]
    now = datetime.combine(WEEK_0, time(0, 0))
    return list(netting.net(requirements, on_hand, [], supplies, now=now, calendar=EVERY_DAY)[1].shortages)


def test_net_requirements_equal_the_textbooks():
    found = {
        part: {shortage.requirement.key: int(shortage.quantity) for shortage in net_part(part, gross)}
        for part, gross in explode(PLANNED_ORDERS).items()
    }
    assert found == NET_REQUIREMENTS


def test_latest_orders_equal_the_textbooks_planned_releases():
    found = {
        part: {
            (shortage.latest_order_at.date() - WEEK_0).days: int(shortage.quantity) for shortage in net_part(part, gross)
        }
        for part, gross in explode(PLANNED_ORDERS).items()
    }
    assert found == PLANNED_ORDERS

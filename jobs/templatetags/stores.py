"""Small words of the stores pages."""

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils.formats import date_format

from jobs.core import figures
from jobs.core.cut_list import Cut
from jobs.models import Item, User
from jobs.queries.stock import ShortageRow

register = template.Library()


@register.filter
def plain(quantity: Decimal) -> str:
    """A quantity without trailing noughts, thousands apart."""
    return figures.apart(Decimal(quantity))


@register.filter
def pounds(pence: int | None) -> str:
    """Pence as pounds: "£1,234.50"; nothing is said of a price nobody knows."""
    return "no price" if pence is None else f"{'-' if pence < 0 else ''}£{abs(pence) // 100:,}.{abs(pence) % 100:02}"


@register.filter
def machine(quantity: Decimal) -> str:
    """A quantity as a form field sends it."""
    return f"{Decimal(quantity):f}"


@register.filter
def amount(quantity: Decimal, item: Item) -> str:
    """A quantity with its unit: "12", or "34.5 m" of cable."""
    return figures.amount(Decimal(quantity), is_cable=item.is_cable)


@register.filter
def oneline(words: str) -> str:
    """An address of several lines on one."""
    return ", ".join(filter(None, (line.strip(" ,") for line in words.splitlines())))


@register.filter
def if_missed(row: ShortageRow) -> str:
    """What becomes of the plan when the moment to order is missed."""
    on = row.shortage.missed_on
    return f"if that is missed it comes {day(on)}, and the next plan starts this work no earlier" if on else ""


@register.filter
def order_by(row: ShortageRow, now: datetime) -> str:
    """Until when to order, in words."""
    if row.latest_order_at is None:
        return "no day planned yet"
    if row.is_missed(now):
        return f"too late for that day: ordered now it comes {day(row.shortage.soonest_on)}"
    if row.latest_order_at.hour == row.latest_order_at.minute == 0:
        return f"fetch it before {day(row.latest_order_at)}"
    return f"order by {day(row.latest_order_at)}, {row.latest_order_at:%H:%M}"


@register.filter
def is_missed(row: ShortageRow, now: datetime) -> bool:
    return row.is_missed(now)


@register.filter
def day(on: datetime) -> str:
    return date_format(on, "D j M")


@register.filter
def who(user: User | None) -> str:
    """The person, or whoever signs in under that name."""
    if user is None:
        return ""
    return user.person.name if user.person else user.get_full_name() or user.username


@register.filter
def cut_parts(cut: Cut) -> list[tuple[int, int]]:
    """Where each run lies along a length of 1000, and how long it is there."""
    parts, at = [], Decimal(0)
    for run in cut.runs:
        parts.append((round(at / cut.length.metres * 1000), round(run.metres / cut.length.metres * 1000)))
        at += run.metres
    return parts

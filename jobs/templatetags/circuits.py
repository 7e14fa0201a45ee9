"""Small words of the circuit pages."""

from decimal import Decimal

from django import template

from jobs.core.electrics.checks import Outcome
from jobs.core.figures import plain

register = template.Library()
_LOOKS = {Outcome.PASS: "is-good", Outcome.LOOK: "is-warn", Outcome.UNKNOWN: "is-warn", Outcome.FAIL: "is-bad"}


@register.filter
def look(outcome: Outcome) -> str:
    """The class that repeats in colour what the words say."""
    return _LOOKS.get(outcome, "")


@register.filter
def figure(value: Decimal | None, places: int = 3) -> str:
    """A figure without idle noughts; nothing of none."""
    return "" if value is None else plain(value, places)

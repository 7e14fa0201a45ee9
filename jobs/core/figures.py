"""Figures as people write them."""

from decimal import Decimal


def plain(value: Decimal, places: int = 3) -> str:
    """Without idle noughts, rounded to so many places, half to even; never "-0"."""
    return _tidy(f"{value:z.{places}f}")


def apart(value: Decimal, places: int = 3) -> str:
    """The same with thousands apart: "1,250.5"."""
    return _tidy(f"{value:z,.{places}f}")


def amount(quantity: Decimal, *, is_cable: bool) -> str:
    """A quantity of an item with its unit: "12" pieces, or "34.5 m" of cable."""
    return f"{apart(quantity)} m" if is_cable else apart(quantity)


def _tidy(digits: str) -> str:
    return digits.rstrip("0").rstrip(".") if "." in digits else digits

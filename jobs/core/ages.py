"""Ages, where the law asks for them."""

from datetime import date


def age_on(born_on: date, day: date) -> int:
    """Full years; someone born on 29 February turns on 1 March in other years."""
    return day.year - born_on.year - ((day.month, day.day) < (born_on.month, born_on.day))


def is_under_18(born_on: date | None, day: date) -> bool:
    """Whether a person is known to be under 18 on `day`; an unknown birthday counts as grown up."""
    return born_on is not None and age_on(born_on, day) < 18

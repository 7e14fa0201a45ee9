"""How firm a date is, in words and as coordinates for a small bar."""

from dataclasses import dataclass
from datetime import date

LEFT, RIGHT = 9, 9
DAY_WIDTH, MOST_WIDTH = 16.0, 160.0
"""A day on the bar, and the longest bar: wider ranges are drawn closer."""

AT_RISK_BELOW = 50
"""Per cent: a date that holds less often than not."""


@dataclass(frozen=True)
class DateRange:
    """A day as planned, as likely as not, and kept four times in five.

    `holds_percent`: the chance that `what` holds; None where there is nothing to hold.
    """

    planned_on: date
    likely_on: date
    safe_on: date
    holds_percent: int | None = None
    what: str = "the date"

    @property
    def words(self) -> str:
        """Such as: likely Tue 4 Mar, safe by Thu 6 Mar (4 times in 5); and how often it holds, where known."""
        likely = f"likely {_day(self.likely_on)}, " if self.likely_on != self.safe_on else ""
        return f"{likely}safe by {_day(self.safe_on)} (4 times in 5){self._holds}"

    @property
    def _holds(self) -> str:
        if self.holds_percent is None:
            return ""
        how_often = "almost always" if self.holds_percent > 98 else f"in {self.holds_percent} cases of 100"
        return f"; {self.what} holds {how_often}"

    @property
    def has_bar(self) -> bool:
        """Whether there is more than one day to draw."""
        return len(set(self._days)) > 1

    @property
    def is_at_risk(self) -> bool:
        """Whether the date holds less often than not; False where nothing is to hold."""
        return self.holds_percent is not None and self.holds_percent < AT_RISK_BELOW

    @property
    def planned(self) -> float:
        """Where the planned day stands on the bar."""
        return self._at(self.planned_on)

    @property
    def likely(self) -> float:
        """Where the likely day stands on the bar."""
        return self._at(self.likely_on)

    @property
    def safe(self) -> float:
        """Where the safe day stands on the bar."""
        return self._at(self.safe_on)

    @property
    def first(self) -> float:
        """Where the earliest of the three days stands."""
        return LEFT

    @property
    def last(self) -> float:
        """Where the latest of the three days stands."""
        return self._at(max(self._days))

    @property
    def width(self) -> float:
        """Width of the bar with its margins."""
        return self.last + RIGHT

    @property
    def diamond(self) -> str:
        """The corners of the mark of the likely day."""
        x = self.likely
        return " ".join(f"{a:g},{b:g}" for a, b in ((x - 6, 10), (x, 4), (x + 6, 10), (x, 16)))

    @property
    def _days(self) -> tuple[date, date, date]:
        return self.planned_on, self.likely_on, self.safe_on

    def _at(self, on: date) -> float:
        whole = (max(self._days) - min(self._days)).days
        step = min(DAY_WIDTH, MOST_WIDTH / whole) if whole else DAY_WIDTH
        return round(LEFT + (on - min(self._days)).days * step, 1)


def _day(on: date) -> str:
    return f"{on:%a} {on.day} {on:%b}"

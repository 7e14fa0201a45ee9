"""How long plaster dries. A date is only the earliest to look: dry is uniformly pale with no dark patches."""

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from math import ceil


class Air(Enum):
    """The air in the rooms, in words, with its factor on drying days (common practice, no source).

    Below 5 °C plaster as good as does not dry: such days do not count.
    """

    WARM = "15 °C or more, ventilated", Decimal("1.0")
    COOL = "10 to 15 °C", Decimal("1.5")
    COLD = "5 to 10 °C, or damp", Decimal("2.0")

    def __init__(self, label: str, factor: Decimal) -> None:
        self.label = label
        self.factor = factor


@dataclass(frozen=True)
class DryingRule:
    """A row of the drying table, in calendar days: the least number, and a rate for each mm; warm, and in the cold.

    A cold figure of 0 means the warm one times the factor of cold air.
    """

    minimum_days: int
    cold_minimum_days: int = 0
    days_per_mm: Decimal = Decimal(0)
    cold_days_per_mm: Decimal = Decimal(0)


def drying_days(rule: DryingRule, thickness_mm: int, air: Air = Air.WARM) -> int:
    """Calendar days from the end of plastering: the larger of the least and mm × rate, by the air."""
    has_cold_figures = rule.cold_minimum_days or rule.cold_days_per_mm
    if air is Air.COLD and has_cold_figures:
        return ceil(max(Decimal(rule.cold_minimum_days), thickness_mm * rule.cold_days_per_mm))
    return ceil(max(Decimal(rule.minimum_days), thickness_mm * rule.days_per_mm) * air.factor)

"""Clips for flat cable: how far apart, how many, and what else must hold it in a fire. Spacings are the take-off's own."""

from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cable import CLIP_SPACINGS, clip_count
from jobs.core.electrics.rule_rows import rule
from jobs.core.electrics.rules import Mark, Rule
from jobs.core.figures import plain

_SOURCE = "Whitfield, The Electrician's Guide to the 16th Edition, Table 4.10"


@dataclass(frozen=True)
class Clips:
    """How many for a run, with the spacings in mm that they come from."""

    count: int
    across_mm: int
    down_mm: int
    numbers: str
    rules: tuple[Rule, ...]


def clips_for(*, across_metres: Decimal, down_metres: Decimal, width_mm: Decimal) -> Clips:
    """Clips for a cable across and down. ValueError above 40 mm wide, or for a negative length."""
    if min(across_metres, down_metres) < 0:
        raise ValueError("A length cannot be negative.")
    count = clip_count(across_metres=across_metres, down_metres=down_metres, width_mm=width_mm)
    spacing = next(row for row in CLIP_SPACINGS if width_mm <= row.widest_mm)
    across, down = int(spacing.across_metres * 1000), int(spacing.down_metres * 1000)
    numbers = f"{plain(across_metres)} m at {across} mm + {plain(down_metres)} m at {down} mm = {count}"
    rows = [row for row in list_spacing_rules() if row.code.startswith(f"CLIP-{spacing.widest_mm}-")]
    return Clips(count, across, down, numbers, (*rows, rule("FIRE-SUPPORT")))


def list_spacing_rules() -> list[Rule]:
    """The spacings as rows."""
    return [
        Rule(f"CLIP-{row.widest_mm}-{way}", f"Flat cable up to {row.widest_mm} mm wide, {way}", metres * 1000, "mm", "", "",
             Mark.CONFIRMED, _SOURCE)
        for row in CLIP_SPACINGS
        for way, metres in (("across", row.across_metres), ("down", row.down_metres))
    ]

"""Flat twin and earth, copper, 70 °C: ratings by how it lies, voltage drop, resistance, factors that lower a rating.

Decimals throughout, as the printed tables are: a reading of 1.37 Ω against a limit of 1.37 Ω must not fail by a rounding
in binary. Amps, metres, mV per amp and metre, mΩ per metre at 20 °C, mm².
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.cable import FLAT_CABLE_WIDTHS_MM
from jobs.core.electrics.rules import EARLIER_EDITION, FROM_MEMORY, NO_SOURCE, Mark, Rule
from jobs.core.figures import plain
from jobs.core.stages import Worded


class Method(Worded):
    """How a cable lies, by its reference method."""

    C = "C", "C: clipped to a surface or in plaster"
    M100 = "100", "100: above a ceiling, under insulation up to 100 mm"
    M101 = "101", "101: above a ceiling, under insulation over 100 mm"
    M102 = "102", "102: in an insulated stud wall, touching the inner face"
    M103 = "103", "103: in an insulated stud wall, not touching the inner face"
    A = "A", "A: in conduit in an insulated wall"


RESISTANCES = {
    Decimal(size): Decimal(milliohms)
    for size, milliohms in (
        ("1.0", "18.1"), ("1.5", "12.1"), ("2.5", "7.41"), ("4", "4.61"), ("6", "3.08"), ("10", "1.83"), ("16", "1.15")
    )
}
"""IEC 60228: greatest resistance of a plain copper conductor at 20 °C, mΩ/m by mm²."""

_COLUMNS = (Method.M100, Method.M101, Method.M102, Method.M103, Method.C, Method.A)
_TABLE = (
    ("1.0", "1.0", "13 10.5 13 8 16 11.5", "44", "4.3"),
    ("1.5", "1.0", "16 13 16 10 20 14.5", "29", "5"),
    ("2.5", "1.5", "21 17 21 13.5 27 20", "18", "6"),
    ("4", "1.5", "27 22 27 17.5 37 26", "11", "6.3"),
    ("6", "2.5", "34 27 35 23.5 47 32", "7.3", "7"),
    ("10", "4", "45 36 47 32 64 44", "4.4", "10"),
    ("16", "6", "57 46 63 42.5 85 57", "2.8", "10"),
)


@dataclass(frozen=True)
class Cable:
    """One size. `ratings` by method in amps; `thickness_mm` is usual, makers vary (common practice, no source)."""

    live_mm2: Decimal
    cpc_mm2: Decimal
    ratings: tuple[tuple[Method, Decimal], ...]
    millivolts: Decimal
    thickness_mm: Decimal

    @property
    def name(self) -> str:
        """Live and protective conductor, as in “2.5/1.5 mm²”."""
        return f"{plain(self.live_mm2)}/{plain(self.cpc_mm2)} mm²"

    @property
    def r1(self) -> Decimal:
        """Line conductor, mΩ/m at 20 °C; the neutral is the same."""
        return RESISTANCES[self.live_mm2]

    @property
    def r2(self) -> Decimal:
        """Protective conductor, mΩ/m at 20 °C."""
        return RESISTANCES[self.cpc_mm2]

    @property
    def width_mm(self) -> Decimal:
        """Usual width; makers vary (common practice, no source)."""
        return FLAT_CABLE_WIDTHS_MM[self.live_mm2]

    def rating(self, method: Method) -> Decimal:
        """Amps of Table 4D5 for this way of lying, before any factor."""
        return dict(self.ratings)[method]


CABLES = tuple(
    Cable(
        Decimal(live), Decimal(cpc), tuple(zip(_COLUMNS, map(Decimal, amps.split()), strict=True)), Decimal(drop), Decimal(thick)
    )
    for live, cpc, amps, drop, thick in _TABLE
)
"""Smallest first."""


def find_cable(live_mm2: Decimal | None) -> Cable | None:
    """The standard size with this live conductor; None where it is not listed."""
    return next((cable for cable in CABLES if cable.live_mm2 == live_mm2), None)


def rating_rule(cable: Cable, method: Method) -> Rule:
    """The row of Table 4D5 for this size and way of lying, in amps."""
    text = f"Rating of {cable.name}, method {method}"
    return _row(f"4D5-{plain(cable.live_mm2)}-{method}", text, cable.rating(method), "A", "Table 4D5")


def drop_rule(cable: Cable) -> Rule:
    """The row of Table 4D5 for this size's voltage drop, in mV per amp and metre."""
    return _row(f"4D5-{plain(cable.live_mm2)}-mV", f"Voltage drop of {cable.name}", cable.millivolts, "mV/A/m", "Table 4D5")


def resistance_rule(size_mm2: Decimal) -> Rule:
    """Mark confirmed: a printed table of R1+R2 is made of these maxima."""
    return Rule(
        f"R-{plain(size_mm2)}", f"Greatest resistance of {plain(size_mm2)} mm² copper at 20 °C",
        RESISTANCES[size_mm2], "mΩ/m", "IEC 60228", "", Mark.CONFIRMED, "Locke, Guide to the Wiring Regulations, Appendix 4",
    )


def size_rule(cable: Cable) -> Rule:
    """The row of the usual size; its value is the thickness in mm, the width stands in its words."""
    text = f"Usual size of {cable.name}: {cable.width_mm} mm by this; makers vary"
    return Rule(f"SIZE-{plain(cable.live_mm2)}", text, cable.thickness_mm, "mm", "", "", Mark.PRACTICE, NO_SOURCE)


_BUNCHED = tuple(
    (count, Decimal(factor))
    for count, factor in (
        (1, "1"), (2, "0.80"), (3, "0.70"), (4, "0.65"), (5, "0.60"), (6, "0.57"), (7, "0.54"), (8, "0.52"), (9, "0.50"),
        (12, "0.45"), (16, "0.41"), (20, "0.38"),
    )
)
_SIDE_BY_SIDE = tuple(
    (count, Decimal(factor)) for count, factor in ((1, "1"), (2, "0.85"), (3, "0.79"), (4, "0.75"), (5, "0.73"), (20, "0.70"))
)
_INSULATED = tuple(
    (millimetres, Decimal(factor))
    for millimetres, factor in ((0, "1"), (50, "0.88"), (100, "0.78"), (200, "0.63"), (400, "0.51"), (500, "0.5"))
)
_AMBIENT = tuple(
    (degrees, Decimal(factor))
    for degrees, factor in (
        (25, "1.03"), (30, "1"), (35, "0.94"), (40, "0.87"), (45, "0.79"), (50, "0.71"), (55, "0.61"), (60, "0.50")
    )
)
MOST_GROUPED = 20
HOTTEST_C = 60


def grouping_rule(circuits: int, *, side_by_side: bool = False) -> Rule:
    """Factor for so many loaded circuits together, this one included. ValueError outside 1 to 20.

    Between two rows of the table the lower factor counts. `side_by_side`: one layer touching on a surface.
    """
    if not 1 <= circuits <= MOST_GROUPED:
        raise ValueError(f"{circuits} circuits together are outside the table, which goes from 1 to {MOST_GROUPED}.")
    row, how = _at_least(_SIDE_BY_SIDE if side_by_side else _BUNCHED, circuits), "side by side" if side_by_side else "bunched"
    return _row(f"4C1-{how.replace(' ', '-')}-{row[0]}", f"Grouping: up to {row[0]} circuits {how}", row[1], "", "Table 4C1")


def insulation_rule(surrounded_mm: int) -> Rule:
    """Factor for a run wholly surrounded by insulation, on the rating of method C. ValueError below 0."""
    if surrounded_mm < 0:
        raise ValueError("A length in insulation cannot be negative.")
    length, factor = _at_least(_INSULATED, surrounded_mm)
    text = f"Wholly surrounded by insulation for {length} mm" + (" or more" if length == _INSULATED[-1][0] else "")
    if length == _INSULATED[-1][0]:
        return Rule("523.9-500", text, factor, "", EARLIER_EDITION, "523.9", Mark.CONFIRMED, "textbook giving the factor")
    return _row(f"523.9-{length}", text, factor, "", "Table 52.2")


def ambient_rule(degrees_c: int) -> Rule:
    """Factor for the air around. The next hotter row counts; below 25 °C the row of 25. ValueError above 60 °C."""
    if degrees_c > HOTTEST_C:
        raise ValueError(f"{degrees_c} °C is outside the table, which ends at {HOTTEST_C} °C.")
    row = _at_least(_AMBIENT, degrees_c)
    return _row(f"4B1-{row[0]}", f"Ambient temperature up to {row[0]} °C", row[1], "", "Table 4B1")


def list_table_rules() -> Iterator[Rule]:
    """Every cell of the tables above as a row."""
    for cable in CABLES:
        yield from (rating_rule(cable, method) for method in Method)
        yield from (drop_rule(cable), size_rule(cable))
    yield from map(resistance_rule, RESISTANCES)
    yield from (grouping_rule(count) for count, _ in _BUNCHED)
    yield from (grouping_rule(count, side_by_side=True) for count, _ in _SIDE_BY_SIDE)
    yield from (insulation_rule(length) for length, _ in _INSULATED)
    yield from (ambient_rule(degrees) for degrees, _ in _AMBIENT)


def _row(code: str, text: str, value: Decimal, unit: str, clause: str) -> Rule:
    return Rule(code, text, value, unit, EARLIER_EDITION, clause, Mark.MEMORY, FROM_MEMORY)


def _at_least(rows: tuple[tuple[int, Decimal], ...], wanted: int) -> tuple[int, Decimal]:
    return next((row for row in rows if row[0] >= wanted), rows[-1])

"""The columns of a stock list and of a price list: their names, meanings and what each may hold."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

from jobs.core.survey_file.cells import CellFault, CellKind, Measure, OneOf, Text

MOST = Decimal(99999)
PACK = Measure(Decimal("0.01"), MOST, "pieces or m")
POUNDS = re.compile(r"([0-9]{1,6})(?:[.,]([0-9]{1,2}))?")
COUNTED_IN = OneOf((("piece", "pieces"), ("metre", "metres")))
DAY_FORMATS = ("%Y-%m-%d", "%Y-%m-%d %H:%M:%S", "%d/%m/%Y", "%d.%m.%Y")


@dataclass(frozen=True)
class Money:
    """Pounds and whole pence, with or without the sign, read as pence."""

    allowed: str = "pounds and pence, e.g. 12.50, without thousands marks"

    def read(self, text: str) -> int:
        """Whole pence. CellFault for parts of a penny, thousands marks or less than nothing."""
        found = POUNDS.fullmatch(text.replace("£", "").strip())
        if found is None:
            raise CellFault(f"Allowed: {self.allowed}. For parts of a penny give the price of more pieces in “per”.")
        return int(found[1]) * 100 + int((found[2] or "0").ljust(2, "0"))


@dataclass(frozen=True)
class Day:
    """A day, year first or as day/month/year."""

    allowed: str = "a day such as 2027-03-31 or 31/03/2027"

    def read(self, text: str) -> date:
        """The day. CellFault where it is none, or outside the years 2000 to 2100."""
        for form in DAY_FORMATS:
            try:
                on = datetime.strptime(text.strip(), form).replace(tzinfo=UTC).date()
            except ValueError:
                continue
            if 2000 <= on.year <= 2100:
                return on
        raise CellFault(f"Allowed: {self.allowed}.")


@dataclass(frozen=True)
class ListColumn:
    """A column of a list: its name, what a cell may hold, what it means, and whether the file must have it."""

    name: str
    kind: CellKind | Money | Day
    meaning: str
    is_needed: bool = False


def stock_columns(places: Iterable[str], suppliers: Iterable[str]) -> tuple[ListColumn, ...]:
    """Columns of a stock list, in the order they are written; places and suppliers are the firm's own."""
    return (
        ListColumn("item", Text(100), "Name or code. One the firm does not keep yet is added", True),
        ListColumn("counted in", COUNTED_IN, "For a new item; blank is pieces"),
        ListColumn("pack", PACK, "Pieces in a box, or metres on a full drum"),
        ListColumn("supplier", _names(suppliers), "Whom you buy it from; must be among your suppliers"),
        ListColumn("always keep", Measure(Decimal(0), MOST, "pieces or m"), "Order before it falls below this"),
        ListColumn("place", _names(places), "Where it lies; blank is the unit"),
        ListColumn("drum", Text(20), "For cable: the label of the drum or offcut"),
        ListColumn("quantity", Measure(Decimal(0), MOST, "pieces or m"), "What is there now; blank was not counted"),
    )


def price_columns() -> tuple[ListColumn, ...]:
    """Columns of a price list, in the order they are written."""
    return (
        ListColumn("item", Text(100), "Name or code of an item the firm keeps", True),
        ListColumn("price", Money(), "Without VAT", True),
        ListColumn("per", PACK, "How many pieces or metres the price is for; blank is 1"),
        ListColumn("from", Day(), "First day of the price; blank is the day the file is saved"),
    )


def _names(names: Iterable[str]) -> OneOf:
    return OneOf(tuple((name, name) for name in names))

"""What a stock list or a price list says, and the checks of its rows against what the firm keeps."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from jobs.core.stores_file.columns import ListColumn, price_columns, stock_columns
from jobs.core.survey_file.cells import same
from jobs.core.survey_file.draft import Fault
from jobs.core.survey_file.gathering import Line
from jobs.core.survey_file.opening import open_table
from jobs.core.survey_file.reading import place_columns, read_row, short
from jobs.core.survey_file.table import FileRefused, Row

PIECE, METRE = "piece", "metre"


@dataclass(frozen=True)
class KnownItem:
    """An item the firm keeps; `counted_in` is PIECE or METRE."""

    code: str
    name: str
    counted_in: str


@dataclass(frozen=True)
class Known:
    """What the firm keeps. `drums`: label → (item's code, place); `home`: where things lie that name no place."""

    items: tuple[KnownItem, ...] = ()
    places: tuple[str, ...] = ("Unit",)
    suppliers: tuple[str, ...] = ()
    drums: dict[str, tuple[str, str]] = field(default_factory=dict)
    home: str = "Unit"

    def find(self, words: str) -> KnownItem | None:
        """The item of this name or code, however spaced or cased; None where the firm keeps none."""
        wanted = same(words)
        named = (item for item in self.items if wanted in {same(item.name), same(item.code)})
        return next(named, None)


@dataclass(frozen=True)
class StockRow:
    """A row of a stock list; `code` is blank for an item to be added, `quantity` None where nobody counted."""

    code: str
    name: str
    counted_in: str
    pack: Decimal | None
    supplier: str
    keep: Decimal | None
    place: str
    drum: str
    quantity: Decimal | None


@dataclass(frozen=True)
class PriceRow:
    """A price of a known item: pence for `per` pieces or metres, from a day on (None: the day it is saved)."""

    code: str
    name: str
    pence: int
    per: Decimal
    from_on: date | None


@dataclass(frozen=True)
class ListReading:
    """Rows when there are no faults; notes tell what was assumed or left out."""

    rows: tuple[StockRow, ...] | tuple[PriceRow, ...] = ()
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


def read_stock(data: bytes, known: Known) -> ListReading:
    """The stock list in the bytes of a CSV or XLSX file; nothing is raised for a bad one."""
    gathering = _Stock(known)
    return _read(data, stock_columns(known.places, known.suppliers), gathering.add, "Stock")


def read_prices(data: bytes, known: Known, *, leaves_out_unknown: bool = False) -> ListReading:
    """The price list in the bytes of a CSV or XLSX file. Items the firm does not keep are faults, or are left out."""
    gathering = _Prices(known, leaves_out_unknown)
    found = _read(data, price_columns(), gathering.add, "Prices")
    if not gathering.left_out:
        return found
    if not found.rows and not found.faults:
        return ListReading(faults=(Fault(0, "item", "", "The firm keeps none of these items. Nothing would be saved."),))
    note = f"{gathering.left_out} row{'s' * (gathering.left_out > 1)} left out: the firm does not keep these items."
    return ListReading(found.rows, found.faults, (*found.notes, note))


Adding = Callable[[Line], tuple[StockRow | PriceRow | None, list[Fault]]]


def _read(data: bytes, columns: tuple[ListColumn, ...], add: Adding, sheet: str) -> ListReading:
    try:
        table = open_table(data, sheet)
    except FileRefused as refusal:
        return ListReading(faults=(Fault(0, "", "", str(refusal)),))
    heading, *rows = table.rows
    placed, faults = place_columns(heading, columns)
    if any(column.is_needed and column not in placed.values() for column in columns):
        return ListReading(faults=tuple(sorted(faults)), notes=table.notes)
    kept = []
    for row in rows:
        line, row_faults = read_row(_with_days(row, placed), placed, heading)
        told, more = add(line) if not row_faults else (None, [])
        faults += row_faults + more
        kept += [told] if told else []
    if not rows:
        faults.append(Fault(0, "", "", "The file has a heading row and nothing under it."))
    return ListReading(() if faults else tuple(kept), tuple(sorted(faults)), table.notes)


def _with_days(row: Row, placed: dict[int, ListColumn]) -> Row:
    """A cell that a workbook holds as a date is fine where a day is asked for."""
    problems = {place: what for place, what in row.problems.items() if not _is_day(place, what, placed)}
    return Row(row.number, row.cells, problems)


def _is_day(place: int, what: str, placed: dict[int, ListColumn]) -> bool:
    return place in placed and placed[place].name == "from" and "date" in what


def _missing(line: Line, column: str, message: str) -> Fault:
    return Fault(line.number, column, "", message)


class _Stock:
    """Rows seen so far, to find what is told twice or in two ways."""

    def __init__(self, known: Known) -> None:
        self.known = known
        self.counted: dict[tuple, int] = {}
        self.new: dict[str, StockRow] = {}

    def add(self, line: Line) -> tuple[StockRow | None, list[Fault]]:
        words = line.value("item")
        if not words:
            return None, [_missing(line, "item", "Every row names its item.")]
        row = self._row(line, words)
        faults = [*self._unit_faults(line, row), *self._drum_faults(line, row), *self._twice(line, row)]
        if not row.code and not faults:
            self.new.setdefault(same(row.name), row)
        return row, faults

    def _row(self, line: Line, words: str) -> StockRow:
        found, first = self.known.find(words), self.new.get(same(words))
        usual = found.counted_in if found else first.counted_in if first else PIECE
        return StockRow(
            code=found.code if found else "", name=found.name if found else words,
            counted_in=line.value("counted in") or usual, pack=line.value("pack"), supplier=line.value("supplier") or "",
            keep=line.value("always keep"), place=line.value("place") or self.known.home, drum=line.value("drum") or "",
            quantity=line.value("quantity"),
        )

    def _unit_faults(self, line: Line, row: StockRow) -> Iterable[Fault]:
        found, first = self.known.find(row.name), self.new.get(same(row.name))
        before = found or first
        if before and before.counted_in != row.counted_in:
            words = {PIECE: "pieces", METRE: "metres"}[before.counted_in]
            yield _missing(line, "counted in", f"{row.name} is counted in {words}. Leave this empty or say the same.")
        if row.counted_in == PIECE and row.quantity is not None and row.quantity % 1:
            yield Fault(line.number, "quantity", str(row.quantity), f"{row.name} is counted in whole pieces.")

    def _drum_faults(self, line: Line, row: StockRow) -> Iterable[Fault]:
        if row.counted_in == PIECE:
            if row.drum:
                yield Fault(line.number, "drum", row.drum, f"{row.name} does not come on drums. Leave this empty.")
            return
        if row.quantity is not None and not row.drum:
            yield _missing(line, "drum", f"{row.name} is kept on drums: give the label written on it, a row for each.")
        code, place = self.known.drums.get(row.drum, (row.code, row.place))
        if code != row.code:
            yield Fault(line.number, "drum", row.drum, "There is a drum of this label with another cable on it.")
        elif place != row.place:
            yield Fault(line.number, "drum", row.drum, f"By the books it is in {place}. Say so, or move it there first.")

    def _twice(self, line: Line, row: StockRow) -> Iterable[Fault]:
        if row.quantity is None:
            return
        key = ("drum", row.drum) if row.drum else (same(row.name), row.place)
        before = self.counted.setdefault(key, line.number)
        if before != line.number:
            what = f"Drum {row.drum}" if row.drum else f"{row.name} in {row.place}"
            yield Fault(line.number, "quantity", str(row.quantity), f"{what} was counted in row {before}. Keep one.")


class _Prices:
    def __init__(self, known: Known, leaves_out_unknown: bool) -> None:
        self.known, self.leaves_out_unknown, self.left_out = known, leaves_out_unknown, 0
        self.told: dict[tuple, int] = {}

    def add(self, line: Line) -> tuple[PriceRow | None, list[Fault]]:
        words, pence = line.value("item"), line.value("price")
        empty = [name for name, value in (("item", words), ("price", pence)) if value is None or value == ""]
        if empty:
            return None, [_missing(line, name, f"Every row has its {name}.") for name in empty]
        found = self.known.find(words)
        if found is None:
            return None, self._unknown(line, words)
        row = PriceRow(found.code, found.name, pence, line.value("per") or Decimal(1), line.value("from"))
        before = self.told.setdefault((row.code, row.from_on), line.number)
        message = f"{row.name} has a price for this day in row {before}. Keep one."
        return row, [Fault(line.number, "item", short(words), message)] if before != line.number else []

    def _unknown(self, line: Line, words: str) -> list[Fault]:
        if self.leaves_out_unknown:
            self.left_out += 1
            return []
        message = "The firm keeps no item of this name or code. Add it first, or have such rows left out."
        return [Fault(line.number, "item", short(words), message)]

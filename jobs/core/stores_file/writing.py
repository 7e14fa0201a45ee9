"""Writing lists as CSV or XLSX that read back the same, with texts no spreadsheet runs."""

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from jobs.core.figures import plain
from jobs.core.stores_file.lists import PriceRow, StockRow
from jobs.core.survey_file.writing import guarded

STOCK_HEADING = ("item", "counted in", "pack", "supplier", "always keep", "place", "drum", "quantity")
PRICE_HEADING = ("item", "price", "per", "from")
Lines = Iterable[Sequence[object]]

EXAMPLE_STOCK = (
    ("2-gang back box 35 mm", "pieces", 10, "", 20, "", "", 64),
    ("Twin and earth 2.5 mm², grey", "metres", 100, "", 100, "", "D201", 100),
    ("Twin and earth 2.5 mm², grey", "", "", "", "", "", "D202", "38.5"),
)
EXAMPLE_PRICES = (("2-gang back box 35 mm", "14.20", 10, ""), ("Twin and earth 2.5 mm², grey", "71.00", 100, "2027-01-04"))


def stock_lines(rows: Iterable[StockRow]) -> Lines:
    """Rows of a stock list under STOCK_HEADING; quantities in pieces or metres, empty where not told."""
    words = {"piece": "pieces", "metre": "metres"}
    for row in rows:
        yield (
            row.name, words[row.counted_in], _known(row.pack), row.supplier, _known(row.keep), row.place, row.drum,
            _known(row.quantity),
        )


def price_lines(rows: Iterable[PriceRow]) -> Lines:
    """Rows of a price list under PRICE_HEADING; pence are written as pounds."""
    for row in rows:
        yield row.code, f"{row.pence // 100}.{row.pence % 100:02}", _known(row.per), row.from_on or ""


def write_csv(heading: Sequence[str], lines: Lines) -> bytes:
    """UTF-8 with a byte-order mark; texts a spreadsheet might run get an apostrophe in front."""
    page = io.StringIO(newline="")
    table = csv.writer(page)
    table.writerow(heading)
    table.writerows([guarded(cell) for cell in line] for line in lines)
    return page.getvalue().encode("utf-8-sig")


def write_xlsx(heading: Sequence[str], lines: Lines, sheet: str) -> bytes:
    """A workbook with one sheet of this name; texts are kept as texts, so that none is run as a formula."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    page = book.active
    page.title, page.freeze_panes = sheet, "A2"
    for place, name in enumerate(heading, start=1):
        page.cell(1, place, name).font = Font(bold=True)
        page.column_dimensions[page.cell(1, place).column_letter].width = max(12, len(name) + 3)
    for number, line in enumerate(lines, start=2):
        for place, value in enumerate(line, start=1):
            cell = page.cell(number, place, None if value == "" else value)
            if isinstance(value, str) and value:
                cell.data_type = "s"
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _known(quantity: Decimal | None) -> str:
    return "" if quantity is None else plain(quantity)

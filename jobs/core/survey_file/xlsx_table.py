"""Reading XLSX: one sheet of plain values, with walls against files built to exhaust the reader."""

import io
import zipfile
from collections.abc import Iterator

from jobs.core.survey_file.cells import squeeze
from jobs.core.survey_file.table import FORMULA, MOST_COLUMNS, FileRefused, Row, Table, refuse_long

MOST_UNPACKED_BYTES = 60 * 1024 * 1024
MOST_PARTS = 200
SHEET = "Survey"
UNREADABLE = "This .xlsx file cannot be read: it is damaged or no workbook. Save it again as .xlsx, or as CSV."
NOT_PLAIN = {
    "f": FORMULA,
    "e": "The cell shows an error. Type the value itself.",
    "d": "The cell is a date. Format it as text and type it again.",
}


def read(data: bytes, wanted: str = SHEET) -> Table:
    """The table of the sheet named `wanted`, or of the first sheet; notes say which when that was a guess."""
    from openpyxl import load_workbook

    _refuse_bomb(data)
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
        sheet, notes = _choose(book.worksheets, wanted)
        sheet.reset_dimensions()
        rows = tuple(_rows(sheet))
    except FileRefused:
        raise
    except Exception:  # noqa: BLE001  whatever a damaged file makes the reader raise, it is a damaged file
        raise FileRefused(UNREADABLE) from None
    return Table(rows, notes)


def _choose(sheets: list, wanted: str) -> tuple[object, tuple[str, ...]]:
    named = [sheet for sheet in sheets if squeeze(sheet.title) == squeeze(wanted)]
    if named or len(sheets) == 1:
        return (named or sheets)[0], ()
    return sheets[0], (f"Read the first sheet, “{sheets[0].title}”. To have another one read, name it “{wanted}”.",)


def _refuse_bomb(data: bytes) -> None:
    try:
        parts = zipfile.ZipFile(io.BytesIO(data)).infolist()
    except (zipfile.BadZipFile, ValueError, OSError):
        raise FileRefused(UNREADABLE) from None
    if "xl/workbook.xml" not in {part.filename for part in parts}:
        raise FileRefused("This is not an .xlsx workbook. Save the sheet as .xlsx or as CSV and choose that file.")
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED_BYTES:
        raise FileRefused("The workbook is far larger inside than a list can be. Copy the sheet alone into a new one.")


def _rows(sheet: object) -> Iterator[Row]:
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS), start=1):
        if any(cell.value is not None for cell in cells):
            refuse_long(number)
            row = Row(number, tuple(_text(cell.value) for cell in cells), _problems(cells))
            if not row.is_blank:
                yield row


def _problems(cells: tuple) -> dict[int, str]:
    return {place: NOT_PLAIN[cell.data_type] for place, cell in enumerate(cells) if cell.data_type in NOT_PLAIN}


def _text(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.10g}" if isinstance(value, float) else str(value)

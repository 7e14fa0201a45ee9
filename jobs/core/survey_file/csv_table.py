"""Reading CSV: the encodings and separators that office programs write."""

import codecs
import csv
import io
from collections.abc import Iterator

from jobs.core.survey_file.cells import UNSEEN, squeeze
from jobs.core.survey_file.table import FORMULA, GUARDED, MOST_COLUMNS, FileRefused, Row, Table, refuse_long

SEPARATORS = (",", ";", "\t")
UTF_16_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
NOT_A_TABLE = "This is not a table. Save the sheet as “CSV UTF-8” or as .xlsx and choose that file."
WINDOWS_NOTE = "Read as Windows text, since it is not UTF-8. Check accents and signs such as £ and ½ below."
OLD_OFFICE = bytes.fromhex("d0cf11e0")
"""First bytes of an .xls file, and of an .xlsx file that a password protects."""


def read(data: bytes) -> Table:
    """The table in `data`; notes tell when its encoding had to be guessed."""
    text, notes = _decode(data)
    separator, body = _separator(text)
    return Table(tuple(_rows(body, separator)), notes)


def _decode(data: bytes) -> tuple[str, tuple[str, ...]]:
    if data.startswith(OLD_OFFICE):
        raise FileRefused("This is an old .xls file or has a password. Save it as .xlsx without a password, or as CSV.")
    try:
        if data.startswith(UTF_16_MARKS) or b"\0" in data[:200]:
            return _decode_utf_16(data), ()
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return _decode_windows(data), (WINDOWS_NOTE,)


def _decode_utf_16(data: bytes) -> str:
    if data.startswith(UTF_16_MARKS):
        text = data.decode("utf-16", errors="replace")
    else:
        text = data.decode("utf-16-be" if data[:1] == b"\0" else "utf-16-le", errors="replace")
    start = text[:200]
    if sum(letter < "\u0250" for letter in start) < len(start) / 2 or UNSEEN.search(start) or "\ufffd" in text:
        raise FileRefused(NOT_A_TABLE)
    return text


def _decode_windows(data: bytes) -> str:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        raise FileRefused(NOT_A_TABLE) from None


def _separator(text: str) -> tuple[str, str]:
    """The separator, and the text without a first line that only names it (“sep=;”)."""
    first, _, rest = text.partition("\n")
    named = first.strip().strip('"')
    if named.casefold().startswith("sep=") and named[4:] in SEPARATORS:
        return named[4:], rest
    heading = next((line for line in text.splitlines() if squeeze(line)), "")
    return max(SEPARATORS, key=heading.count), text if heading else ""


def _rows(text: str, separator: str) -> Iterator[Row]:
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 0
    try:
        for number, cells in enumerate(lines, start=1):
            if any(cell.strip() for cell in cells):
                refuse_long(number)
                yield _row(number, cells)
    except csv.Error:
        raise FileRefused(
            f"After row {number} the file can no longer be read as a table: a quotation mark is not closed, or a cell is "
            "far too long. Put right the row after it, or save the sheet as .xlsx."
        ) from None


def _row(number: int, cells: list[str]) -> Row:
    cells = cells[:MOST_COLUMNS]
    problems = {place: FORMULA for place, cell in enumerate(cells) if cell.lstrip().startswith("=")}
    return Row(number, tuple(cell[1:] if GUARDED.match(cell) else cell for cell in cells), problems)

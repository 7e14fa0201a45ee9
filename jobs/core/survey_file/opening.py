"""From the bytes of a file to its table."""

from jobs.core.survey_file import csv_table, xlsx_table
from jobs.core.survey_file.table import MOST_BYTES, FileRefused, Table


def open_table(data: bytes, sheet: str = xlsx_table.SHEET) -> Table:
    """The rows of a CSV or XLSX file, the heading row first and blank rows left out; of a workbook, `sheet`.

    Raises FileRefused when it is neither, too large, empty, protected or damaged.
    """
    if len(data) > MOST_BYTES:
        raise FileRefused(too_large(len(data)))
    table = xlsx_table.read(data, sheet) if data.startswith(b"PK") else csv_table.read(data)
    if not table.rows:
        raise FileRefused("The file is empty. Download the empty file below and fill it in.")
    return table


def too_large(size_bytes: int) -> str:
    """The sentence for a file of `size_bytes`, too large to be opened."""
    return (
        f"The file is {size_bytes / 1024 / 1024:.0f} MB; a file may have up to {MOST_BYTES // 1024 // 1024} MB. "
        "Save only the sheet itself, without pictures."
    )

"""A table of plain texts, whatever program wrote it, and the limits that hold for every file."""

import re
from dataclasses import dataclass, field

MOST_BYTES = 10 * 1024 * 1024
"""Largest file read: a survey of 5,000 rows takes under 1 MB."""

MOST_ROWS = 10_000
"""Largest number of rows under the heading row."""

MOST_COLUMNS = 60
FORMULA = "Formulas are not read. Copy the cell and paste it as a value."
GUARDED = re.compile(r"'[=+\-@'\t\r\0]")
"""A text cell guarded with an apostrophe so that no spreadsheet runs it; reading takes the guard off."""


class FileRefused(Exception):
    """The file as a whole cannot be read; the message says why and what to do."""


@dataclass(frozen=True)
class Row:
    """A row as a spreadsheet numbers it; `problems` are cells that are no plain text, by place in the row."""

    number: int
    cells: tuple[str, ...]
    problems: dict[int, str] = field(default_factory=dict)

    @property
    def is_blank(self) -> bool:
        """No cell of it holds anything, not even something that cannot be read."""
        return not self.problems and not any(cell.strip() for cell in self.cells)


@dataclass(frozen=True)
class Table:
    """The rows of a file, the heading row first; notes tell what had to be guessed."""

    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()


def refuse_long(row_number: int) -> None:
    """FileRefused beyond MOST_ROWS under the heading, which is row 1."""
    if row_number > MOST_ROWS + 1:
        raise FileRefused(
            f"The file has more than {MOST_ROWS:,} rows. Split it into several."
        )

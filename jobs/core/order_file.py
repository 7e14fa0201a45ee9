"""An order as a table that goes with the mail to a supplier."""

from collections.abc import Iterable, Sequence

from jobs.core.stores_file.writing import write_csv

HEADING = ("order", "code", "item", "quantity", "unit", "in a pack")


def write_order_file(lines: Iterable[Sequence[object]]) -> bytes:
    """CSV in UTF-8 with a byte-order mark, a line for each item; no cell is taken for a formula."""
    return write_csv(HEADING, lines)

"""The week as plain text, for a terminal."""

from collections.abc import Iterator
from datetime import date

from jobs.models import Firm, Plan
from jobs.queries.week import Cell, DayOfTrades, PersonRow, load_week

NARROWEST = 12


def week_table(firm: Firm, plan: Plan, monday: date) -> str:
    """People down, days across; morning above afternoon where they differ, other trades last."""
    week = load_week(firm, plan, monday, monday)
    rows = [["", *(f"{day.on:%a} {day.on.day} {day.on:%b}" for day in week.days)]]
    rows += [_person_cells(row) for row in week.rows]
    if week.has_visits:
        rows.append(["Other trades", *(_trades_words(other) for other in week.others)])
    return "\n".join(_lines(rows, _widths(rows)))


def _person_cells(row: PersonRow) -> list[str]:
    return [row.person.name, *("\n".join(_cell_words(cell) for cell in day.cells) for day in row.days)]


def _cell_words(cell: Cell) -> str:
    work = ", ".join(f"{s.booking.package.job}: {s.booking.package}" for s in cell.stints)
    words = work or cell.away or "free"
    return words if cell.is_whole_day else f"{cell.half} {words}"


def _trades_words(other: DayOfTrades) -> str:
    return "\n".join(f"{row.visit.job}: {row.visit} ({row.label})" for row in other.visits)


def _widths(rows: list[list[str]]) -> list[int]:
    return [max(NARROWEST, *(len(line) for cell in column for line in _wrapped(cell))) for column in zip(*rows, strict=True)]


def _wrapped(cell: str) -> list[str]:
    """One line for the house and one for the work, so that columns stay narrow."""
    return [part for line in cell.split("\n") for part in line.replace(": ", ":\n  ").split("\n")]


def _lines(rows: list[list[str]], widths: list[int]) -> Iterator[str]:
    rule = "-+-".join("-" * width for width in widths)
    for row in rows:
        cells = [_wrapped(cell) for cell in row]
        for at in range(max(len(cell) for cell in cells)):
            parts = (cell[at] if at < len(cell) else "" for cell in cells)
            yield " | ".join(part.ljust(width) for part, width in zip(parts, widths, strict=True)).rstrip()
        yield rule

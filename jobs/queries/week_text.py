"""The week as plain text, for a terminal."""

from collections.abc import Iterator
from datetime import date
from zoneinfo import ZoneInfo

from jobs.models import Firm, Plan
from jobs.queries.week import load_week
from jobs.queries.week_parts import Cell, DayOfPerson, DayOfTrades, PersonRow, Stint, VisitOnDay

NARROWEST = 12


def week_table(firm: Firm, plan: Plan, monday: date) -> str:
    """People down, days across; morning above afternoon where they differ, other trades last.

    Days before the plan was made are blank where it has nothing.
    """
    week = load_week(firm, plan, monday, plan.made_at.astimezone(ZoneInfo(firm.zone)).date())
    rows = [["", *(f"{day.on:%a} {day.on.day} {day.on:%b}" for day in week.days)]]
    rows += [_person_cells(row) for row in week.rows]
    if week.has_visits:
        rows.append(["Other trades", *(_trades_words(other) for other in week.others)])
    return "\n".join(_lines(rows, _widths(rows)))


def _person_cells(row: PersonRow) -> list[str]:
    return [row.person.name, *("\n".join(_day_lines(day)) for day in row.days)]


def _day_lines(on_day: DayOfPerson) -> Iterator[str]:
    for cell in on_day.cells:
        lines = [*_work_lines(cell), *([cell.away] if cell.away else [])]
        if not lines and not on_day.day.is_past:
            lines = [on_day.day.rest_name or "free"]
        if lines and not cell.is_whole_day:
            lines[0] = f"{cell.half} {lines[0]}"
        yield from lines


def _work_lines(cell: Cell) -> Iterator[str]:
    for block in cell.blocks:
        yield f"{block.job}: {block.package.get_stage_display()}"
        yield from (f"   {_stint_words(stint)}" for stint in block.stints)


def _stint_words(stint: Stint) -> str:
    return f"{stint.booking.package.area}{', alongside' if stint.booking.is_alongside else ''}"


def _trades_words(other: DayOfTrades) -> str:
    return "\n".join(f"{row.visit.job}: {row.visit.kind}\n   {_whereabouts(row)}" for row in other.visits)


def _whereabouts(row: VisitOnDay) -> str:
    return f"{row.visit.area}, {row.label}" if row.visit.area else row.label


def _widths(rows: list[list[str]]) -> list[int]:
    columns = zip(*rows, strict=True)
    return [max(NARROWEST, *(len(line) for cell in column for line in cell.split("\n"))) for column in columns]


def _lines(rows: list[list[str]], widths: list[int]) -> Iterator[str]:
    rule = "-+-".join("-" * width for width in widths)
    for row in rows:
        cells = [cell.split("\n") for cell in row]
        for at in range(max(len(cell) for cell in cells)):
            parts = (cell[at] if at < len(cell) else "" for cell in cells)
            yield " | ".join(part.ljust(width) for part, width in zip(parts, widths, strict=True)).rstrip()
        yield rule

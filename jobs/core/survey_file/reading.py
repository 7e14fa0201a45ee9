"""From a table to a draft of the survey, or to every fault in it."""

import difflib
from collections.abc import Sequence

from jobs.core import stages
from jobs.core.survey_file.cells import CellFault, Text, squeeze
from jobs.core.survey_file.columns import Column, PointOption, columns_for
from jobs.core.survey_file.draft import Fault, Reading
from jobs.core.survey_file.gathering import Cell, Gathering, Line
from jobs.core.survey_file.opening import open_table
from jobs.core.survey_file.table import FileRefused, Row, Table


def read_survey(
    data: bytes,
    *,
    point_kinds: Sequence[PointOption],
    usual_walls: str = stages.WallKind.MASONRY,
) -> Reading:
    """The survey in the bytes of a CSV or XLSX file.

    `usual_walls` is the wall kind of rooms that name none. Nothing is raised for a bad file: the reading then has no
    draft, and a fault for the file as a whole, for a column, or for every bad row.
    """
    try:
        table = open_table(data)
    except FileRefused as refusal:
        return Reading(None, (Fault(0, "", "", str(refusal)),))
    return _read_table(table, columns_for(point_kinds), point_kinds, usual_walls)


def _read_table(
    table: Table, columns: tuple[Column, ...], point_kinds: Sequence[PointOption], usual_walls: str
) -> Reading:
    heading, *rows = table.rows
    placed, faults = place_columns(heading, columns)
    if any(column.is_needed and column not in placed.values() for column in columns):
        return Reading(None, tuple(sorted(faults)), table.notes)
    gathering = Gathering(point_kinds, usual_walls)
    for row in rows:
        line, row_faults = read_row(row, placed, heading)
        faults += row_faults
        faults += gathering.add(line)
    faults += gathering.check_whole()
    return Reading(None if faults else gathering.draft(), tuple(sorted(faults)), (*table.notes, *gathering.notes))


def place_columns(heading: Row, columns: tuple[Column, ...]) -> tuple[dict[int, Column], list[Fault]]:
    """Which column stands at each place of the heading row."""
    by_name = {squeeze(column.name): column for column in columns}
    placed: dict[int, Column] = {}
    faults: list[Fault] = []
    for place, name in enumerate(heading.cells):
        column = by_name.get(squeeze(name))
        if column is None and name.strip():
            faults.append(Fault(heading.number, name.strip()[:60], "", _unknown_column(name, columns)))
        elif column in placed.values() and column is not None:
            faults.append(Fault(heading.number, column.name, "", "This column is there twice. Keep one of them."))
        elif column is not None:
            placed[place] = column
    return placed, faults + _missing_columns(heading, placed, columns)


def _unknown_column(name: str, columns: tuple[Column, ...]) -> str:
    names = {squeeze(column.name): column.name for column in columns}
    near = difflib.get_close_matches(squeeze(name), names, n=1, cutoff=0.6)
    meant = f"Did you mean “{names[near[0]]}”? " if near else ""
    return f"There is no column of this name. {meant}Rename it or take it out; the columns are listed below."


def _missing_columns(heading: Row, placed: dict[int, Column], columns: tuple[Column, ...]) -> list[Fault]:
    return [
        Fault(heading.number, column.name, "", "This column is missing. Add it with its name in the heading row.")
        for column in columns
        if column.is_needed and column not in placed.values()
    ]


def read_row(row: Row, placed: dict[int, Column], heading: Row) -> tuple[Line, list[Fault]]:
    """The filled cells of a row under their columns, and a fault for each that cannot be read or has no heading."""
    line, faults = Line(row.number), _stray_cells(row, heading)
    for place, column in placed.items():
        text = row.cells[place].strip() if place < len(row.cells) else ""
        problem = row.problems.get(place, "")
        if not text and not problem:
            continue
        try:
            value = _read_cell(text, column, problem)
        except CellFault as fault:
            value = None
            faults.append(Fault(row.number, column.name, short(text), str(fault)))
        line.cells[column.name] = Cell(column, text, value)
    return line, faults


def _read_cell(text: str, column: Column, problem: str) -> object:
    if problem:
        raise CellFault(problem)
    if not isinstance(column.kind, Text):
        Text(200).read(text)
    return column.kind.read(text)


def _stray_cells(row: Row, heading: Row) -> list[Fault]:
    """Cells with something in them under no heading: they would be lost without a word."""
    message = "A cell with no heading above it. Take it out, or put quotation marks round a text with separators in it."
    return [
        Fault(row.number, f"cell {place + 1}", short(cell), message)
        for place, cell in enumerate(row.cells)
        if cell.strip() and (place >= len(heading.cells) or not heading.cells[place].strip())
    ]


def short(value: str) -> str:
    """At most 80 characters, the rest left out behind “…”."""
    return value if len(value) <= 80 else value[:79] + "…"

"""Readings from a file: a row for each circuit, a column for each measure, written as testers write.

Nothing of a file counts while anything in it is wrong; every problem names its row and column. A cell may be empty.
"""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from jobs.core.electrics.readings import State, Unit, read
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SUPPLY_UNITS, SupplyMeasure
from jobs.core.electrics.under_test import UNITS, Measure
from jobs.core.survey_file.table import FileRefused, Row, Table

CIRCUIT = "Circuit"
HEADINGS = {
    Measure.RING_R1: "r1", Measure.RING_RN: "rn", Measure.RING_R2: "r2", Measure.R1_R2: "R1+R2", Measure.R2: "R2 long lead",
    Measure.IR_LIVE: "IR live-live", Measure.IR_EARTH: "IR live-earth", Measure.POLARITY: "Polarity", Measure.ZS: "Zs",
    Measure.RCD_HALF: "RCD half", Measure.RCD_TIME: "RCD time", Measure.RCD_TIME_5: "RCD time x5",
    Measure.RCD_BUTTON: "RCD button", Measure.FUNCTIONAL: "Functional", Measure.ALARMS: "Alarms",
}
"""Heading of each column of a circuit; a unit in brackets after it is passed over."""
SOCKET_HEADINGS = {SocketMeasure.CROSS_LIVE: "L-N cross", SocketMeasure.CROSS_CPC: "L-cpc cross"}
SUPPLY_HEADINGS = {SupplyMeasure.ZE: "Ze", SupplyMeasure.FAULT: "PFC", SupplyMeasure.POLARITY: "Supply polarity"}
SHORT_NAMES = {**HEADINGS, **SOCKET_HEADINGS, **SUPPLY_HEADINGS}
ALL_UNITS = {**UNITS, **dict.fromkeys(SOCKET_HEADINGS, Unit.OHM), **SUPPLY_UNITS}

NO_COLUMN = "No such column. Leave it out, or use the headings of the empty file."
_BRACKETS = re.compile(r"\(.*?\)|\[.*?\]")


@dataclass(frozen=True)
class TableProblem:
    """What is wrong, as the spreadsheet numbers the row; `column` is its heading, empty for the whole row."""

    row: int
    column: str
    words: str

    def __str__(self) -> str:
        place = f"Row {self.row}, {self.column}" if self.column else f"Row {self.row}"
        return f"{place}: {self.words}"


@dataclass(frozen=True)
class CircuitReadings:
    """What is written for one circuit, as written; empty cells are left out."""

    row: int
    reference: str
    written: Mapping[Measure, str]


@dataclass(frozen=True)
class ReadingsTable:
    circuits: tuple[CircuitReadings, ...]
    problems: tuple[TableProblem, ...]


def heading_row() -> list[str]:
    """First row of the file to fill in, units in brackets."""
    labels = ((heading, UNITS[measure].label) for measure, heading in HEADINGS.items())
    return [CIRCUIT, *(f"{heading} ({unit})" if unit else heading for heading, unit in labels)]


def read_readings(table: Table, references: Collection[str]) -> ReadingsTable:
    """Readings of the circuits with these references. FileRefused without a heading row that names the circuit."""
    heading, *rows = table.rows or (Row(1, ()),)
    columns, strange = _columns(heading)
    circuits, problems = [], list(strange)
    for row in rows:
        problems += _problems_of(row, columns, references, {circuit.reference: circuit.row for circuit in circuits})
        circuits.append(CircuitReadings(row.number, _reference(row, columns, references), dict(_written(row, columns))))
    return ReadingsTable(tuple(circuits), tuple(problems))


def _columns(heading: Row) -> tuple[dict[int, Measure | None], list[TableProblem]]:
    """The measure of each place, None for the circuit's; headings that are none of ours, or stand twice."""
    columns: dict[int, Measure | None] = {}
    problems = []
    for place, text in enumerate(heading.cells):
        name = " ".join(_BRACKETS.sub("", text).split())
        is_circuit, measure = name.casefold() in ("circuit", "reference"), _measure(name)
        if not is_circuit and measure is None:
            problems += [TableProblem(heading.number, text, NO_COLUMN)]
        elif measure in columns.values():
            problems += [TableProblem(heading.number, text, "This column stands twice.")]
        else:
            columns[place] = measure
    if None not in columns.values():
        raise FileRefused(f"The first row must name the columns, with “{CIRCUIT}” among them. Download the empty file.")
    return columns, [problem for problem in problems if problem.column.strip()]


def _measure(name: str) -> Measure | None:
    """By heading or by the name shown on pages; r2 and R2 differ, so case counts where two would be one."""
    exact = {"R2": Measure.R2} | {heading: measure for measure, heading in HEADINGS.items()}
    names = ((measure, (heading, measure.label, measure.value)) for measure, heading in HEADINGS.items())
    loose = {text.casefold(): measure for measure, texts in names for text in texts}
    return exact.get(name) or loose.get(name.casefold())


def _reference(row: Row, columns: Mapping[int, Measure | None], references: Collection[str]) -> str:
    """As the job writes it, whatever the case in the file."""
    place = next(place for place, measure in columns.items() if measure is None)
    written = _cell(row, place)
    return next((reference for reference in references if reference.casefold() == written.casefold()), written)


def _written(row: Row, columns: Mapping[int, Measure | None]) -> Iterator[tuple[Measure, str]]:
    for place, measure in columns.items():
        text = _cell(row, place)
        if measure is not None and read(text, UNITS[measure]).state != State.BLANK:
            yield measure, text


def _problems_of(
    row: Row, columns: Mapping[int, Measure | None], references: Collection[str], seen: Mapping[str, int]
) -> Iterator[TableProblem]:
    reference = _reference(row, columns, references)
    if reference not in references:
        known = ", ".join(sorted(references)) or "none yet"
        yield TableProblem(row.number, CIRCUIT, f"No circuit “{reference}” on this job. Its circuits: {known}.")
    elif reference in seen:
        yield TableProblem(row.number, CIRCUIT, f"“{reference}” also stands in row {seen[reference]}.")
    for place, measure in columns.items():
        problem = row.problems.get(place) or (read(_cell(row, place), UNITS[measure]).problem if measure else "")
        if problem:
            yield TableProblem(row.number, HEADINGS[measure] if measure else CIRCUIT, problem)


def _cell(row: Row, place: int) -> str:
    return row.cells[place].strip() if place < len(row.cells) else ""

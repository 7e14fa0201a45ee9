"""Readings as a table: what a file says about a job's circuits, and a job's readings as such a file."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from jobs.core.electrics.judging import Judged, judge_readings
from jobs.core.electrics.readings import State, read
from jobs.core.electrics.readings_table import (
    HEADINGS,
    CircuitReadings,
    ReadingsTable,
    TableProblem,
    heading_row,
    read_readings,
)
from jobs.core.electrics.under_test import LIVE_TESTS, UNITS, Measure, WhenTested, measures_for
from jobs.core.survey_file.opening import open_table
from jobs.models import Circuit, Job
from jobs.queries.readings import Sheet, load_sheets

SHEET = "Readings"
EXAMPLE = {
    WhenTested.FIRST_FIX: {Measure.RING_R1: "0.44", Measure.RING_RN: "0,45", Measure.RING_R2: "0.72", Measure.R1_R2: "0.29",
                           Measure.IR_LIVE: ">200", Measure.IR_EARTH: ">200", Measure.POLARITY: "ok"},
    WhenTested.END: {Measure.R1_R2: "0.29", Measure.IR_LIVE: "LIM", Measure.IR_EARTH: ">200", Measure.POLARITY: "ok",
                     Measure.ZS: "0.62", Measure.RCD_TIME: "24", Measure.RCD_BUTTON: "ok", Measure.FUNCTIONAL: "ok"},
}
"""What a filled row may look like."""


@dataclass(frozen=True)
class Understood:
    """A circuit of a file with what each of its readings says beside the limits."""

    circuit: Circuit
    written: CircuitReadings
    judged: tuple[Judged, ...]


@dataclass(frozen=True)
class FileRead:
    rows: tuple[Understood, ...]
    problems: tuple[TableProblem, ...]
    notes: tuple[str, ...] = ()


def read_file(job: Job, data: bytes, when: WhenTested) -> FileRead:
    """FileRefused where it is no such table at all."""
    table = open_table(data, SHEET)
    sheets = {sheet.circuit.reference: sheet for sheet in load_sheets(job, when)}
    found = read_readings(table, list(sheets))
    problems = (*found.problems, *_out_of_place(found, sheets, when))
    if not problems and not any(row.written for row in found.circuits):
        problems = (TableProblem(2, "", "There is no reading in the file."),)
    if problems:
        return FileRead((), tuple(sorted(problems, key=lambda problem: problem.row)), table.notes)
    rows = (_understood(row, sheets[row.reference], when) for row in found.circuits if row.written)
    return FileRead(tuple(rows), (), table.notes)


def list_lines(job: Job, content: str, when: WhenTested) -> tuple[list[str], list[Sequence[str]]]:
    """Heading and rows of the file: of the job's readings, of an example, or with its circuits alone."""
    sheets = load_sheets(job, when)
    measures = [measure for measure in HEADINGS if when == WhenTested.END or measure not in LIVE_TESTS]
    heading = [words for words, measure in zip(heading_row(), (None, *HEADINGS), strict=True) if measure in (None, *measures)]
    return heading, [[sheet.circuit.reference, *_cells(sheet, measures, content)] for sheet in sheets]


def _cells(sheet: Sheet, measures: Iterable[Measure], content: str) -> list[str]:
    asked = measures_for(sheet.tested, sheet.when)
    stands = {line.field.measure: line.stands.text for line in sheet.lines if line.stands}
    shown = {"readings": stands, "example": EXAMPLE[sheet.when]}.get(content, {})
    return [shown.get(measure, "") if measure in asked else "" for measure in measures]


def _out_of_place(found: ReadingsTable, sheets: dict[str, Sheet], when: WhenTested) -> Iterator[TableProblem]:
    """Readings the circuit has no field for, unless they only say that they do not apply."""
    for row in found.circuits:
        asked = measures_for(sheets[row.reference].tested, when) if row.reference in sheets else tuple(Measure)
        for measure, text in row.written.items():
            if measure not in asked and read(text, UNITS[measure]).state != State.NOT_APPLICABLE:
                is_early = when == WhenTested.FIRST_FIX and measure in LIVE_TESTS
                why = "This is measured at the end" if is_early else f"{row.reference} has no such test"
                yield TableProblem(row.row, HEADINGS[measure], f"{why}. Leave the cell empty.")


def _understood(row: CircuitReadings, sheet: Sheet, when: WhenTested) -> Understood:
    asked = measures_for(sheet.tested, when)
    row = replace(row, written={measure: text for measure, text in row.written.items() if measure in asked})
    read_now = {measure: read(text, UNITS[measure]) for measure, text in row.written.items()}
    judged = judge_readings(read_now, sheet.tested, when)
    return Understood(sheet.circuit, row, tuple(one for one in judged if one.measure in row.written))

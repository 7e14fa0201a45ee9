"""Readings as a table: what a file says about a job's circuits, sockets and supply, and a job's readings as such a file."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.judging import Judged, judge_readings
from jobs.core.electrics.readings import Reading, State, read
from jobs.core.electrics.readings_table import (
    ALL_UNITS,
    HEADINGS,
    SHORT_NAMES,
    SOCKET_HEADINGS,
    SUPPLY,
    SUPPLY_HEADINGS,
    AnyMeasure,
    ReadingsTable,
    RowReadings,
    heading_row,
    read_readings,
)
from jobs.core.electrics.sockets import SocketMeasure, SocketRead, judge_sockets
from jobs.core.electrics.supply_tests import SupplyMeasure, judge_supply
from jobs.core.electrics.under_test import LIVE_TESTS, UNITS, Measure, WhenTested, measures_for
from jobs.core.survey_file.draft import Fault
from jobs.core.survey_file.opening import open_table
from jobs.models import Circuit, Job, Point
from jobs.queries.circuits import load_schedule
from jobs.queries.readings import Sheet, load_sheets
from jobs.queries.ring_sockets import SocketRow
from jobs.queries.supply_readings import SupplySheet

TABLE = "Readings"
EXAMPLE = {
    WhenTested.FIRST_FIX: {Measure.RING_R1: "0.44", Measure.RING_RN: "0,45", Measure.RING_R2: "0.72", Measure.R1_R2: "0.29",
                           Measure.IR_LIVE: ">200", Measure.IR_EARTH: ">200", Measure.POLARITY: "ok"},
    WhenTested.END: {Measure.R1_R2: "0.29", Measure.IR_LIVE: "LIM", Measure.IR_EARTH: ">200", Measure.POLARITY: "ok",
                     Measure.ZS: "0.62", Measure.RCD_TIME: "24", Measure.RCD_BUTTON: "ok", Measure.FUNCTIONAL: "ok"},
}
"""What a filled row of a circuit may look like."""
EXAMPLE_SOCKET = {SocketMeasure.CROSS_LIVE: "0,22", SocketMeasure.CROSS_CPC: "0.29"}
EXAMPLE_SUPPLY = {SupplyMeasure.ZE: "0.31", SupplyMeasure.FAULT: "1.2", SupplyMeasure.POLARITY: "ok"}


@dataclass(frozen=True)
class Said:
    """One reading of a file: how it stands beside its limits, and what to look for."""

    label: str
    reading: Reading
    outcome: Outcome
    look_for: tuple[str, ...]


@dataclass(frozen=True)
class Understood:
    """A row of a file with what it says. `circuit` None: of the supply. `point` None: of no socket."""

    circuit: Circuit | None
    point: Point | None
    row: RowReadings
    said: tuple[Said, ...]

    @property
    def name(self) -> str:
        of_what = str(self.circuit) if self.circuit else SUPPLY
        return f"{of_what}: {self.row.socket}" if self.row.socket else of_what


@dataclass(frozen=True)
class FileRead:
    rows: tuple[Understood, ...]
    faults: tuple[Fault, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _House:
    """The job's sheets by reference, and what is read at its origin."""

    sheets: Mapping[str, Sheet]
    supply: SupplySheet
    earthing: Earthing
    when: WhenTested

    @property
    def sockets(self) -> dict[str, list[str]]:
        return {name: [row.socket.name for row in sheet.ring.rows] for name, sheet in self.sheets.items() if sheet.ring}

    def find_socket(self, row: RowReadings) -> SocketRow:
        return next(one for one in self.sheets[row.reference].ring.rows if one.socket.name == row.socket)


def read_file(job: Job, data: bytes, when: WhenTested) -> FileRead:
    """FileRefused where it is no such table at all."""
    table, house = open_table(data, TABLE), _load_house(job, when)
    found = read_readings(table, list(house.sheets), house.sockets)
    faults = (*found.faults, *_out_of_place(found, house))
    if not faults and not any(row.written for row in found.rows):
        faults = (Fault(2, "", "", "There is no reading in the file."),)
    if faults:
        return FileRead((), tuple(sorted(faults, key=lambda fault: fault.row)), table.notes)
    return FileRead(tuple(_understood(row, house) for row in found.rows if row.written), (), table.notes)


def list_lines(job: Job, content: str, when: WhenTested) -> tuple[list[str], list[Sequence[str]]]:
    """Heading and rows of the file: of the job's readings, of an example, or with its circuits alone."""
    house = _load_house(job, when)
    is_end = when == WhenTested.END
    measures = [
        measure for measure in SHORT_NAMES
        if is_end or (measure not in LIVE_TESTS and measure not in SUPPLY_HEADINGS)
    ]
    lines = [[SUPPLY, "", *_supply_cells(house.supply, measures, content)]] if is_end else []
    for sheet in house.sheets.values():
        lines.append([sheet.circuit.reference, "", *_cells(sheet, measures, content)])
        lines += [
            [sheet.circuit.reference, row.socket.name, *_socket_cells(row, measures, content)]
            for row in (sheet.ring.rows if sheet.ring else ())
        ]
    return heading_row(measures), lines


def _load_house(job: Job, when: WhenTested) -> _House:
    schedule = load_schedule(job)
    sheets = {sheet.circuit.reference: sheet for sheet in load_sheets(job, when, schedule)}
    return _House(sheets, schedule.supply_sheet, schedule.supply.earthing, when)


def _cells(sheet: Sheet, measures: Sequence[str], content: str) -> list[str]:
    asked = measures_for(sheet.tested, sheet.when)
    stands = {line.field.measure: line.stands.text for line in sheet.lines if line.stands and not line.taken_from}
    shown = {"readings": stands, "example": EXAMPLE[sheet.when]}.get(content, {})
    return [shown.get(measure, "") if measure in asked else "" for measure in measures]


def _socket_cells(row: SocketRow, measures: Sequence[str], content: str) -> list[str]:
    stands = {cell.measure: cell.stands.text for cell in row.cells if cell.stands}
    shown = {"readings": stands, "example": EXAMPLE_SOCKET}.get(content, {})
    return [shown.get(measure, "") for measure in measures]


def _supply_cells(supply: SupplySheet, measures: Sequence[str], content: str) -> list[str]:
    stands = {line.field.measure: line.stands.text for line in supply.lines if line.stands}
    shown = {"readings": stands, "example": EXAMPLE_SUPPLY}.get(content, {})
    return [shown.get(measure, "") for measure in measures]


def _out_of_place(found: ReadingsTable, house: _House) -> Iterator[Fault]:
    """Readings the circuit has no field for, or too early, unless they only say that they do not apply."""
    for row in found.rows:
        for measure, text in row.written.items():
            why = _why_not_here(row, measure, house)
            if why and read(text, ALL_UNITS[measure]).state != State.NOT_APPLICABLE:
                yield Fault(row.row, SHORT_NAMES[measure], "", f"{why}. Leave the cell empty.")


def _why_not_here(row: RowReadings, measure: AnyMeasure, house: _House) -> str:
    if house.when == WhenTested.FIRST_FIX and (measure in LIVE_TESTS or measure in SUPPLY_HEADINGS):
        return "This is measured at the end"
    sheet = house.sheets.get(row.reference)
    if sheet is None or row.socket or measure not in HEADINGS or measure in measures_for(sheet.tested, house.when):
        return ""
    return f"{row.reference} has no such test"


def _understood(row: RowReadings, house: _House) -> Understood:
    if row.reference == SUPPLY:
        row = replace(row, written=_only(row, SUPPLY_HEADINGS))
        read_now = {measure: read(text, ALL_UNITS[measure]) for measure, text in row.written.items()}
        judged = [one for one in judge_supply(read_now, house.earthing) if one.measure in row.written]
        return Understood(None, None, row, tuple(map(_said, judged)))
    sheet = house.sheets[row.reference]
    return _of_socket(row, sheet, house) if row.socket else _of_circuit(row, sheet)


def _of_circuit(row: RowReadings, sheet: Sheet) -> Understood:
    row = replace(row, written=_only(row, measures_for(sheet.tested, sheet.when)))
    read_now = {measure: read(text, UNITS[measure]) for measure, text in row.written.items()}
    judged = [one for one in judge_readings(read_now, sheet.tested, sheet.when) if one.measure in row.written]
    return Understood(sheet.circuit, None, row, tuple(map(_said, judged)))


def _of_socket(row: RowReadings, sheet: Sheet, house: _House) -> Understood:
    """How a socket stands beside the others shows once all are saved."""
    row = replace(row, written=_only(row, SOCKET_HEADINGS))
    readings = {measure: read(text, ALL_UNITS[measure]) for measure, text in row.written.items()}
    said = [_said_of_socket(measure, row.socket, one) for measure, one in readings.items()]
    return Understood(sheet.circuit, house.find_socket(row).socket.point, row, tuple(said))


def _only(row: RowReadings, measures: Sequence[str] | Mapping[str, str]) -> dict[AnyMeasure, str]:
    return {measure: text for measure, text in row.written.items() if measure in measures}


def _said(judged: Judged) -> Said:
    return Said(judged.measure.label, judged.reading, judged.outcome, judged.look_for)


def _said_of_socket(measure: SocketMeasure, name: str, reading: Reading) -> Said:
    alone = judge_sockets(measure, [SocketRead(name, reading)], None).sockets[0]
    return Said(measure.label, reading, alone.outcome, (alone.advice,) if alone.advice else ())

"""Readings from a file: a row for each circuit, each socket of a ring and the supply, a column for each measure.

Nothing of a file counts while anything in it is wrong; every fault names its row and column. A cell may be empty.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from jobs.core.electrics.readings import State, Unit, read
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SUPPLY_UNITS, SupplyMeasure
from jobs.core.electrics.under_test import UNITS, Measure
from jobs.core.survey_file.draft import Fault
from jobs.core.survey_file.table import FileRefused, Row, Table

CIRCUIT, SOCKET, SUPPLY = "Circuit", "Socket", "Supply"
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
FOR_CIRCUIT, FOR_SOCKET, FOR_SUPPLY = "circuits", "sockets of a ring", "the supply"
COLUMNS_FOR = {FOR_CIRCUIT: HEADINGS, FOR_SOCKET: SOCKET_HEADINGS, FOR_SUPPLY: SUPPLY_HEADINGS}
ALL_UNITS = {**UNITS, **dict.fromkeys(SOCKET_HEADINGS, Unit.OHM), **SUPPLY_UNITS}

NO_COLUMN = "No such column. Leave it out, or use the headings of the empty file."
AnyMeasure = Measure | SocketMeasure | SupplyMeasure
_BRACKETS = re.compile(r"\(.*?\)|\[.*?\]")


@dataclass(frozen=True)
class RowReadings:
    """What a row says, as written; empty cells are left out. `reference` is “Supply” where it is of no circuit."""

    row: int
    reference: str
    written: Mapping[AnyMeasure, str]
    socket: str = ""

    @property
    def is_of(self) -> str:
        """Which columns are its own."""
        return FOR_SUPPLY if self.reference == SUPPLY else FOR_SOCKET if self.socket else FOR_CIRCUIT

    @property
    def name(self) -> str:
        """The circuit's reference, with the socket where the row is of one."""
        return f"{self.reference}, {self.socket}" if self.socket else self.reference


@dataclass(frozen=True)
class ReadingsTable:
    """The rows of a file and everything wrong with it; with any fault none of the rows counts."""

    rows: tuple[RowReadings, ...]
    faults: tuple[Fault, ...]


def heading_row(measures: Collection[str] = tuple(SHORT_NAMES)) -> list[str]:
    """First row of the file to fill in, units in brackets; of these measures alone."""
    asked = [measure for measure in SHORT_NAMES if measure in measures]
    labels = ((SHORT_NAMES[measure], ALL_UNITS[measure].label) for measure in asked)
    return [CIRCUIT, SOCKET, *(f"{heading} ({unit})" if unit else heading for heading, unit in labels)]


def read_readings(
    table: Table, references: Collection[str], sockets: Mapping[str, Collection[str]] | None = None
) -> ReadingsTable:
    """Readings of circuits with these references, and of rings with these `sockets` by reference.

    FileRefused without a heading row that names the circuit.
    """
    heading, *rows = table.rows or (Row(1, ()),)
    columns, strange = _columns(heading)
    found: list[RowReadings] = []
    faults = list(strange)
    for row in rows:
        read_row = _read_row(row, columns, references, sockets or {})
        faults += [*_faults_of_name(read_row, references, sockets or {}, found), *_faults_of_cells(row, columns, read_row)]
        found.append(read_row)
    return ReadingsTable(tuple(found), tuple(faults))


def _columns(heading: Row) -> tuple[dict[int, str], list[Fault]]:
    """What stands in each place; headings that are none of ours, or stand twice."""
    columns: dict[int, str] = {}
    faults = []
    for place, text in enumerate(heading.cells):
        column = _column(" ".join(_BRACKETS.sub("", text).split()))
        if column is None:
            faults += [Fault(heading.number, text, "", NO_COLUMN)]
        elif column in columns.values():
            faults += [Fault(heading.number, text, "", "This column stands twice.")]
        else:
            columns[place] = column
    if CIRCUIT not in columns.values():
        raise FileRefused(f"The first row must name the columns, with “{CIRCUIT}” among them. Download the empty file.")
    return columns, [fault for fault in faults if fault.column.strip()]


def _column(name: str) -> str | None:
    """By heading or by the name shown on pages; r2 and R2 differ, so case counts where two would be one."""
    exact = {"R2": Measure.R2} | {heading: measure for measure, heading in SHORT_NAMES.items()}
    names = ((measure, (heading, measure.label, measure.value)) for measure, heading in SHORT_NAMES.items())
    loose: dict[str, str] = {text.casefold(): measure for measure, texts in names for text in texts}
    places = {"circuit": CIRCUIT, "reference": CIRCUIT, "socket": SOCKET}
    return places.get(name.casefold()) or exact.get(name) or loose.get(name.casefold())


def _read_row(
    row: Row, columns: Mapping[int, str], references: Collection[str], sockets: Mapping[str, Collection[str]]
) -> RowReadings:
    """Circuit and socket as the job writes them, whatever the case in the file."""
    reference = _as_known(_cell_of(row, columns, CIRCUIT), [*references, SUPPLY])
    socket = _as_known(_cell_of(row, columns, SOCKET), sockets.get(reference, ()))
    return RowReadings(row.number, reference, dict(_written(row, columns)), socket)


def _as_known(written: str, known: Iterable[str]) -> str:
    return next((one for one in known if one.casefold() == written.casefold()), written)


def _written(row: Row, columns: Mapping[int, str]) -> Iterator[tuple[AnyMeasure, str]]:
    for place, column in columns.items():
        text = _cell(row, place)
        if column in SHORT_NAMES and read(text, ALL_UNITS[column]).state != State.BLANK:
            yield column, text


def _faults_of_name(
    row: RowReadings, references: Collection[str], sockets: Mapping[str, Collection[str]], before: Iterable[RowReadings]
) -> Iterator[Fault]:
    twice = next((one.row for one in before if (one.reference, one.socket) == (row.reference, row.socket)), None)
    known = sockets.get(row.reference, ())
    if row.reference != SUPPLY and row.reference not in references:
        listed = ", ".join(sorted(references)) or "none yet"
        yield Fault(row.row, CIRCUIT, "", f"No circuit “{row.reference}” on this job. Its circuits: {listed}.")
    elif row.socket and row.socket not in known:
        listed = "; ".join(known) or "none, as only a ring is read socket by socket"
        yield Fault(row.row, SOCKET, "", f"No socket “{row.socket}” on {row.reference}. Its sockets: {listed}.")
    elif twice:
        yield Fault(row.row, CIRCUIT, "", f"“{row.name}” also stands in row {twice}.")


def _faults_of_cells(row: Row, columns: Mapping[int, str], found: RowReadings) -> Iterator[Fault]:
    for place, column in columns.items():
        heading = SHORT_NAMES.get(column, column)
        problem = row.problems.get(place) or (
            read(_cell(row, place), ALL_UNITS[column]).problem if column in SHORT_NAMES else ""
        )
        if not problem and column in found.written and column not in COLUMNS_FOR[found.is_of]:
            problem = _not_its_own(column, found)
        if problem:
            yield Fault(row.number, heading, "", problem)


def _not_its_own(column: str, found: RowReadings) -> str:
    """Nothing where it only says that it does not apply."""
    if read(found.written[column], ALL_UNITS[column]).state == State.NOT_APPLICABLE:
        return ""
    own = next(of_what for of_what, headings in COLUMNS_FOR.items() if column in headings)
    return f"This column is for {own}, and the row is not. Leave the cell empty."


def _cell_of(row: Row, columns: Mapping[int, str], column: str) -> str:
    return next((_cell(row, place) for place, one in columns.items() if one == column), "")


def _cell(row: Row, place: int) -> str:
    return row.cells[place].strip() if place < len(row.cells) else ""

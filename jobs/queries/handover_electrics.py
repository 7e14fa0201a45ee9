"""The electrical sections of a handover pack: circuit chart, readings, alarms, RCDs."""

from collections.abc import Iterable, Iterator

from jobs.core.electrics.board import ChartRow, chart
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.rules import EDITION_NOTE
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import WhenTested
from jobs.core.figures import plain
from jobs.core.handover import (
    ALARM_STEPS,
    ALARM_WARNING,
    ALARM_WORDS,
    NO_CERTIFICATE,
    RCD_STEPS,
    RCD_WARNING,
    RCD_WORDS,
    Block,
    Head,
    Lines,
    Table,
    Warning,
    Words,
    table,
)
from jobs.core.stages import CircuitKind
from jobs.models import Job, Point, Reading
from jobs.queries.circuits import Schedule, load_schedule
from jobs.queries.reading_lines import Line
from jobs.queries.readings import Sheet, load_sheets
from jobs.queries.ring_sockets import SocketRow
from jobs.queries.supply_readings import SupplySheet

CHART_HEADING = ("Way", "Circuit", "Cable", "Metres", "Points", "Device", "RCD", "Design A", "Zs at most, cold Ω")
CHART_WIDTHS = (2, 6, 4, 3, 3, 4, 3, 3, 4)
SHEET_HEADING = ("What was measured", "Reading", "Limit beside it", "What it says")
SHEET_WIDTHS = (4, 2, 4, 3)
SOCKET_WIDTHS = (5, 2, 2, 4)
SOCKET_SAYS = {
    Outcome.FAIL: "no continuity", Outcome.UNKNOWN: "cannot be judged", Outcome.LOOK: "look at it again",
    Outcome.PASS: "like the others",
}


def list_circuit_blocks(job: Job) -> Iterator[Block]:
    schedule = load_schedule(job)
    if not schedule.rows:
        yield Words("No circuit has been surveyed.")
        return
    yield Words(_supply_words(schedule))
    rows = [_chart_cells(row) for row in chart(schedule.board, schedule.supply)]
    yield table("Circuits by their way in the consumer unit", CHART_HEADING, rows, CHART_WIDTHS)
    if bonding := [row.circuit for row in schedule.rows if row.is_bonding]:
        yield Words("Bonding, without a way: " + "; ".join(map(str, bonding)) + ".")
    if assumed := _list_assumed(schedule):
        yield Head("Assumed, as nobody has said otherwise")
        yield Lines(tuple(assumed))
    yield Words(EDITION_NOTE)


def list_reading_blocks(job: Job) -> Iterator[Block]:
    yield Warning(NO_CERTIFICATE)
    schedule = load_schedule(job)
    yield from _list_supply(schedule.supply_sheet)
    for when in (WhenTested.END, WhenTested.FIRST_FIX):
        yield Head(when.label)
        sheets = load_sheets(job, when, schedule)
        if not any(sheet.entered or (sheet.ring and sheet.ring.is_read) for sheet in sheets):
            yield Words("No reading has been recorded.")
            continue
        for sheet in sheets:
            yield _sheet_table(sheet)
            yield from _list_sockets(sheet)
        yield Lines(tuple(_list_testers((sheet.circuit.reference, row) for sheet in sheets for row in _rows_of(sheet))))
    yield Words(EDITION_NOTE)


def list_alarm_blocks(job: Job) -> Iterator[Block]:
    points = Point.objects.filter(job=job, is_dropped=False, kind__circuit_kind=CircuitKind.ALARMS)
    rows = points.select_related("room__area", "kind", "circuit").order_by("room__area__position", "room__position", "pk")
    if rows:
        cells = [(str(row.room), row.label or row.kind.name, row.circuit.reference if row.circuit else "") for row in rows]
        yield table("Alarms by room", ("Room", "Alarm", "Circuit"), cells, (3, 4, 2))
    else:
        yield Words("No alarm is part of this work.")
    yield Words(ALARM_WORDS)
    yield Lines(ALARM_STEPS, is_numbered=True)
    yield Warning(ALARM_WARNING)


def list_rcd_blocks() -> Iterator[Block]:
    yield Words(RCD_WORDS)
    yield Lines(RCD_STEPS, is_numbered=True)
    yield Warning(RCD_WARNING)


def _list_supply(sheet: SupplySheet) -> Iterator[Block]:
    yield Head("Supply, read at the origin")
    if not sheet.entered:
        yield Words("No reading of the supply has been recorded.")
        return
    heading = ("At the origin", *SHEET_HEADING[1:])
    yield table("Readings of the supply", heading, [_line_cells(line) for line in sheet.lines], SHEET_WIDTHS)
    yield Lines(tuple(_list_testers(("Supply", line.stands) for line in sheet.lines if line.stands)))


def _supply_words(schedule: Schedule) -> str:
    supply, row = schedule.supply, schedule.supply_row
    ze = f"Ze {plain(supply.ze_ohms)} Ω ({schedule.supply_made.ze_from.label})"
    said = [f"Supply: {supply.earthing.label}", ze, f"supply fuse {plain(supply.fuse_amps)} A"]
    fault = schedule.supply_sheet.find(SupplyMeasure.FAULT)
    if fault.stands:
        said.append(f"fault current {fault.words} (measured)")
    elif row and row.fault_kiloamps is not None:
        said.append(f"fault current {plain(row.fault_kiloamps)} kA (as told)")
    return f"{', '.join(said)}. Consumer unit with {len(schedule.board.ways)} ways, {schedule.board.spare_ways} of them spare."


def _list_assumed(schedule: Schedule) -> Iterator[str]:
    yield from schedule.supply_made.assumed
    if schedule.board_assumed:
        yield schedule.board_assumed
    for row in schedule.rows:
        if row.made.assumed:
            yield f"{row.circuit.reference}: {' '.join(row.made.assumed)}"


def _chart_cells(row: ChartRow) -> tuple[str, ...]:
    name = f"{row.reference} {row.name}".strip()
    return (
        str(row.way), name, row.cable, row.length_metres, row.points, row.device, row.rcd, row.design_amps,
        row.cold_limit_zs_ohms,
    )


def _sheet_table(sheet: Sheet) -> Table:
    name = str(sheet.circuit)
    heading = (f"{name}: what was measured", *SHEET_HEADING[1:])
    return table(f"Readings of {name}", heading, [_line_cells(line) for line in sheet.lines], SHEET_WIDTHS)


def _list_sockets(sheet: Sheet) -> Iterator[Block]:
    """A ring read socket by socket, once anything of it is read."""
    if sheet.ring is None or not sheet.ring.is_read:
        return
    heading = (f"{sheet.circuit}: at each socket, ends cross-connected", "Line to neutral", "Line to cpc", "What it says")
    rows = [
        (row.socket.name, *(cell.words or "not read" for cell in row.cells), _worst_words(row)) for row in sheet.ring.rows
    ]
    yield table(f"Sockets of {sheet.circuit}", heading, rows, SOCKET_WIDTHS)
    found = [f"{check.name}: {check.outcome.label.lower()}. {check.advice}" for check in sheet.ring.checks if check.advice]
    if found:
        yield Lines(tuple(found))


def _worst_words(row: SocketRow) -> str:
    outcomes = [cell.judged.outcome for cell in row.cells if cell.stands]
    order = (Outcome.FAIL, Outcome.UNKNOWN, Outcome.LOOK, Outcome.PASS)
    return next((SOCKET_SAYS[one] for one in order if one in outcomes), "")


def _line_cells(line: Line) -> tuple[str, str, str, str]:
    name = line.field.measure.label
    if line.stands is None:
        return name, "not recorded", line.field.limit_words, "needed" if line.field.is_required else "optional"
    says = "cannot be judged" if line.outcome == Outcome.UNKNOWN else line.outcome.label.lower()
    words = f"{line.words}, highest of its sockets, at {line.taken_from}" if line.taken_from else line.words
    return name, words, line.field.limit_words, says


def _rows_of(sheet: Sheet) -> Iterator[Reading]:
    yield from (line.stands for line in sheet.lines if line.stands)
    if sheet.ring:
        yield from (cell.stands for row in sheet.ring.rows for cell in row.cells if cell.stands)


def _list_testers(read: Iterable[tuple[str, Reading]]) -> Iterator[str]:
    """Who measured what on which day with which instrument, in the order of the board."""
    told: dict[tuple[str, str], list[str]] = {}
    for of_what, row in read:
        told.setdefault(_tester(row), []).append(of_what)
    for (who, instrument), names in told.items():
        yield f"{', '.join(dict.fromkeys(names))}: {who}{instrument}."


def _tester(row: Reading) -> tuple[str, str]:
    who = f"tested by {row.tested_by.name} on {row.tested_at:%-d %B %Y}"
    if row.instrument is None:
        return who, ", instrument not said"
    due = f", calibration due {row.calibration_due_on:%-d %B %Y}" if row.calibration_due_on else ""
    return who, f" with {row.instrument}{due}"

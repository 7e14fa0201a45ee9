"""What a phone hears about the readings it sent: careful words, and what to look for."""

from collections.abc import Collection

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.under_test import LIVE_TESTS, WhenTested
from jobs.core.figures import plain
from jobs.models import Circuit, Job
from jobs.queries.circuits import load_schedule
from jobs.queries.reading_lines import Line
from jobs.queries.readings import Sheet, load_sheets

NOT_YET = "Dead tests at the end are missing or out, so this circuit must not be energised yet."
IN_LIMITS = "Within the limits as far as they can be judged here."
ALIKE = "Alike all along the ring, as far as it was read."
DECIDES = "A competent person decides; nothing here certifies anything."


def tell_verdict(circuit: Circuit, when: str, measures: Collection[str]) -> list[str]:
    """What these measures of the circuit say now, a sentence each."""
    sheet = _find_sheet(circuit, when)
    if sheet is None:
        return []
    out = [_words(line) for line in sheet.lines if line.field.measure in measures and line.is_out]
    held = [NOT_YET] if _is_live_too_soon(sheet, measures) else []
    return [*(out or [IN_LIMITS]), *held, DECIDES]


def tell_sockets(circuit: Circuit, when: str) -> list[str]:
    """What the ring's sockets say now: the odd ones by name, the spread, and R1 + R2."""
    sheet = _find_sheet(circuit, when)
    if sheet is None or sheet.ring is None:
        return []
    out = [
        f"{row.socket.name}, {cell.words}: {_label(cell.judged.outcome)}. {cell.judged.advice}"
        for row in sheet.ring.rows for cell in row.cells if cell.is_out
    ]
    out += [f"{check.name}: {check.advice}" for check in sheet.ring.checks if check.advice]
    read = [f"{measure.label}: {count} of {whole} sockets read." for measure, count, whole in sheet.ring.counts]
    return [*(out or [ALIKE]), *read, *_r1_r2(sheet), DECIDES]


def tell_supply(job: Job, measures: Collection[str]) -> list[str]:
    """What these readings at the origin say now."""
    sheet = load_schedule(job).supply_sheet
    out = [_words(line) for line in sheet.lines if line.field.measure in measures and line.is_out]
    return [*(out or [IN_LIMITS]), DECIDES]


def _find_sheet(circuit: Circuit, when: str) -> Sheet | None:
    return next((one for one in load_sheets(circuit.job, WhenTested(when)) if one.circuit.pk == circuit.pk), None)


def _r1_r2(sheet: Sheet) -> list[str]:
    found = sheet.ring.highest
    if found is None:
        return []
    socket, row = found
    return [f"Highest to the cpc, R1 + R2 of the circuit: {plain(row.amount)} Ω at {socket.name}."]


def _words(line: Line) -> str:
    return " ".join((f"{line.field.measure.label}, {line.words}: {_label(line.outcome)}.", *line.judged.look_for))


def _label(outcome: Outcome) -> str:
    return {Outcome.UNKNOWN: "cannot be judged"}.get(outcome, outcome.label.lower())


def _is_live_too_soon(sheet: Sheet, measures: Collection[str]) -> bool:
    return bool(LIVE_TESTS & set(measures)) and bool(sheet.holds_power)

"""What a phone hears about the readings it sent: careful words, and what to look for."""

from collections.abc import Collection

from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.under_test import LIVE_TESTS, WhenTested
from jobs.models import Circuit
from jobs.queries.readings import Line, Sheet, load_sheets

NOT_YET = "Dead tests at the end are missing or out, so this circuit must not be energised yet."
IN_LIMITS = "Within the limits as far as they can be judged here."
DECIDES = "A competent person decides; nothing here certifies anything."


def tell_verdict(circuit: Circuit, when: str, measures: Collection[str]) -> list[str]:
    """What these measures of the circuit say now, a sentence each."""
    sheet = next((one for one in load_sheets(circuit.job, WhenTested(when)) if one.circuit.pk == circuit.pk), None)
    if sheet is None:
        return []
    out = [_words(line) for line in sheet.lines if line.field.measure in measures and line.is_out]
    held = [NOT_YET] if _is_live_too_soon(sheet, measures) else []
    return [*(out or [IN_LIMITS]), *held, DECIDES]


def _words(line: Line) -> str:
    label = {Outcome.UNKNOWN: "cannot be judged"}.get(line.outcome, line.outcome.label.lower())
    return " ".join((f"{line.field.measure.label}, {line.words}: {label}.", *line.judged.look_for))


def _is_live_too_soon(sheet: Sheet, measures: Collection[str]) -> bool:
    return bool(LIVE_TESTS & set(measures)) and bool(sheet.holds_power)

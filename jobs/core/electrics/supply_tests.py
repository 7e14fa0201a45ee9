"""Readings at the origin: Ze against what is usual for the earthing, and the greatest fault current against the devices."""

from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome, unknown
from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.readings import Reading, State, Unit, within_most
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.rules import plain


def judge_ze(reading: Reading, earthing: Earthing) -> Check:
    """Ze in ohms, means of earthing connected alone. A higher one is for the network operator."""
    row, name = rule(f"ZE-{earthing}"), "Ze at the origin"
    if reading.state not in (State.VALUE, State.OVER, State.UNDER):
        return unknown("ze", name, reading.problem or f"{reading.state.label}.", row)
    fits = within_most(reading, row.value)
    lost = reading.state == State.OVER and reading.amount is None
    advice = "Perhaps the earth at the origin is lost: do not energise; tell the network operator." if lost else _HIGHER
    return Check(
        "ze", name, Outcome.PASS if fits else Outcome.FAIL if lost else Outcome.LOOK, "Ze ≤ usual", reading.words(Unit.OHM),
        reading.amount, row.value, "Ω", f"usually at most {plain(row.value)} Ω", (row,), "" if fits else advice,
    )


_HIGHER = "Higher than usual for this earthing: measure again, then ask the network operator."


def judge_fault_current(reading: Reading, breaking_kiloamps: Decimal | None = None) -> Check:
    """Greatest prospective fault current in kA against what the devices can break, as marked on them; else 6 kA."""
    row, name = rule("PFC"), "Greatest fault current at the origin"
    limit = breaking_kiloamps if breaking_kiloamps is not None else value("PFC")
    if reading.state not in (State.VALUE, State.OVER, State.UNDER):
        return unknown("pfc", name, reading.problem or f"{reading.state.label}.", row)
    fits = within_most(reading, limit)
    outcome = Outcome.PASS if fits else Outcome.LOOK if fits is None else Outcome.FAIL
    advice = "" if fits else "Look at the marking of each device and of the consumer unit; the designer decides."
    return Check(
        "pfc", name, outcome, "Ipf ≤ breaking capacity", reading.words(Unit.KILOAMP), reading.amount, limit, "kA",
        f"at most {plain(limit)} kA", (row,), advice,
    )

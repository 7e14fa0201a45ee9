"""Readings at the origin: Ze against what is usual for the earthing, the greatest fault current, the supply's polarity."""

from collections.abc import Mapping
from decimal import Decimal

from jobs.core.electrics.checks import Check, Outcome, unknown
from jobs.core.electrics.circuit import Earthing
from jobs.core.electrics.judging import Judged
from jobs.core.electrics.readings import Reading, State, Unit, within_most
from jobs.core.electrics.rule_rows import rule, value
from jobs.core.electrics.under_test import Field
from jobs.core.figures import plain
from jobs.core.stages import Worded


class SupplyMeasure(Worded):
    """What is read at the origin; Ze in ohms, fault current in kA."""

    ZE = "ze", "Ze, earth fault loop of the supply"
    FAULT = "pfc", "Greatest prospective fault current"
    POLARITY = "supply_pol", "Polarity of the supply"


SUPPLY_UNITS = {SupplyMeasure.ZE: Unit.OHM, SupplyMeasure.FAULT: Unit.KILOAMP, SupplyMeasure.POLARITY: Unit.WORDS}
FIGURES = (State.VALUE, State.OVER, State.UNDER)
PLACES = {
    SupplyMeasure.ZE: ("Perhaps the means of earthing is not connected, or its clamp does not grip.",),
    SupplyMeasure.FAULT: ("Perhaps the tester is set to another range, or a transformer is close.",),
    SupplyMeasure.POLARITY: ("Perhaps line and neutral are crossed at the meter: only the network operator may put that right.",),
}
"""First places to look when a reading at the origin is out (common practice, no source)."""


def supply_fields(earthing: Earthing) -> list[Field]:
    """What is read at the origin, each with its limit."""
    ze = rule(f"ZE-{earthing}")
    words = {
        SupplyMeasure.ZE: (f"usually at most {plain(ze.value)} Ω for {earthing.label}; means of earthing alone", (ze,)),
        SupplyMeasure.FAULT: (
            f"at most {plain(value('PFC'))} kA, or as the devices are marked; {plain(value('PFC-SUPPLY'))} kA at most declared",
            (rule("PFC"), rule("PFC-SUPPLY")),
        ),
        SupplyMeasure.POLARITY: ("line and neutral right at the origin", (rule("SUPPLY-POLARITY"),)),
    }
    return [Field(one, SUPPLY_UNITS[one], True, words[one][0], "", words[one][1]) for one in SupplyMeasure]


def judge_supply(readings: Mapping[SupplyMeasure, Reading], earthing: Earthing) -> list[Judged]:
    """Every reading at the origin, entered or not."""
    blank = Reading("", State.BLANK)
    return [_judge(measure, readings.get(measure, blank), earthing) for measure in SupplyMeasure]


def measured_ze_ohms(reading: Reading) -> Decimal | None:
    """The Ze that a reading gives to reckon with: what was measured, or the tester's least; None where it gives none."""
    return reading.amount if reading.state in (State.VALUE, State.UNDER) else None


def judge_ze(reading: Reading, earthing: Earthing) -> Check:
    """Ze in ohms, means of earthing connected alone. A higher one is for the network operator."""
    row, name = rule(f"ZE-{earthing}"), "Ze at the origin"
    if reading.state not in FIGURES:
        return unknown(SupplyMeasure.ZE, name, _why(reading), row)
    fits = within_most(reading, row.value)
    lost = reading.state == State.OVER and reading.amount is None
    advice = "Perhaps the earth at the origin is lost: do not energise; tell the network operator." if lost else _HIGHER
    return Check(
        SupplyMeasure.ZE, name, Outcome.PASS if fits else Outcome.FAIL if lost else Outcome.LOOK, "Ze ≤ usual",
        reading.words(Unit.OHM), reading.amount, row.value, "Ω", f"usually at most {plain(row.value)} Ω", (row,),
        "" if fits else advice,
    )


_HIGHER = "Higher than usual for this earthing: measure again, then ask the network operator."


def judge_fault_current(reading: Reading, breaking_kiloamps: Decimal | None = None) -> Check:
    """Greatest prospective fault current in kA against what the devices can break, as marked on them; else 6 kA.

    Beyond 6 kA a marking decides, which nobody told, so it is to be looked at; beyond what operators declare it fails.
    """
    row, name = rule("PFC"), "Greatest fault current at the origin"
    limit = breaking_kiloamps if breaking_kiloamps is not None else row.value
    if reading.state not in FIGURES:
        return unknown(SupplyMeasure.FAULT, name, _why(reading), row)
    return Check(
        SupplyMeasure.FAULT, name, _fault_outcome(reading, limit, is_told=breaking_kiloamps is not None),
        "Ipf ≤ breaking capacity", reading.words(Unit.KILOAMP), reading.amount, limit, "kA", f"at most {plain(limit)} kA",
        (row, rule("PFC-SUPPLY")), "" if within_most(reading, limit) else _MARKING,
    )


def _fault_outcome(reading: Reading, limit: Decimal, *, is_told: bool) -> Outcome:
    if within_most(reading, limit):
        return Outcome.PASS
    beyond_all = within_most(reading, max(limit, value("PFC-SUPPLY"))) is False
    return Outcome.FAIL if beyond_all or (is_told and within_most(reading, limit) is False) else Outcome.LOOK


_MARKING = "Look at the marking of each device and of the consumer unit; the designer decides."


def _judge(measure: SupplyMeasure, reading: Reading, earthing: Earthing) -> Judged:
    if measure == SupplyMeasure.ZE:
        check = judge_ze(reading, earthing)
    elif measure == SupplyMeasure.FAULT:
        check = judge_fault_current(reading)
    else:
        check = _judge_polarity(reading)
    return Judged(measure, reading, (check,), True, PLACES[measure])


def _judge_polarity(reading: Reading) -> Check:
    row = rule("SUPPLY-POLARITY")
    if reading.state not in (State.GOOD, State.BAD):
        return unknown(SupplyMeasure.POLARITY, SupplyMeasure.POLARITY.label, _why(reading), row)
    is_good = reading.state == State.GOOD
    return Check(
        SupplyMeasure.POLARITY, SupplyMeasure.POLARITY.label, Outcome.PASS if is_good else Outcome.FAIL,
        numbers=reading.state.label, limit_words="line and neutral right", rules=(row,), advice="" if is_good else _CROSSED,
    )


_CROSSED = "Do not energise: tell the network operator at once."


def _why(reading: Reading) -> str:
    return reading.problem or ("Not entered yet." if reading.state == State.BLANK else f"{reading.state.label}.")

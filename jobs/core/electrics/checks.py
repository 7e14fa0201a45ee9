"""The shape of every result: what was asked, by which formula, with which numbers, against which limit, by which rows.

A check assists a competent person. It certifies nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.rules import Rule
from jobs.core.figures import plain
from jobs.core.stages import Worded


class Outcome(Worded):
    """What a check comes to; the label is what people read."""

    PASS = "pass", "Within the limit"
    LOOK = "look", "Look at it again"
    FAIL = "fail", "Outside the limit"
    UNKNOWN = "unknown", "Cannot be judged yet"
    NOT_NEEDED = "not_needed", "Not needed"


@dataclass(frozen=True)
class Check:
    """One result. `numbers` is the formula with its figures put in; `limit_words` says which way the limit counts."""

    code: str
    name: str
    outcome: Outcome
    formula: str = ""
    numbers: str = ""
    result: Decimal | None = None
    limit: Decimal | None = None
    unit: str = ""
    limit_words: str = ""
    rules: tuple[Rule, ...] = ()
    advice: str = ""

    @property
    def result_words(self) -> str:
        """The result with its unit; empty where there is no figure."""
        return _measure(self.result, self.unit)

    @property
    def sources(self) -> tuple[str, ...]:
        """Where its rows stand, each once."""
        return tuple(dict.fromkeys(row.reference for row in self.rules))


def at_most(code: str, name: str, result: Decimal, limit: Decimal, unit: str, **words: object) -> Check:
    """Passes where the result is the limit or less, both in `unit`. `words`: further fields of the check."""
    return _against(code, name, result, limit, unit, result <= limit, "at most", words)


def at_least(code: str, name: str, result: Decimal, limit: Decimal, unit: str, **words: object) -> Check:
    """Passes where the result is the limit or more, both in `unit`. `words`: further fields of the check."""
    return _against(code, name, result, limit, unit, result >= limit, "at least", words)


def unknown(code: str, name: str, why: str, *rules: Rule) -> Check:
    """What cannot be judged, and what is missing."""
    return Check(code, name, Outcome.UNKNOWN, rules=rules, advice=why)


def worst_of(checks: Iterable[Check]) -> Outcome:
    """One failed check fails them all; one that cannot be judged leaves them open. No check at all passes."""
    found = {check.outcome for check in checks}
    if found == {Outcome.NOT_NEEDED}:
        return Outcome.NOT_NEEDED
    order = (Outcome.FAIL, Outcome.UNKNOWN, Outcome.LOOK)
    return next((outcome for outcome in order if outcome in found), Outcome.PASS)


def _against(
    code: str, name: str, result: Decimal, limit: Decimal, unit: str, holds: bool, way: str, words: dict[str, object]
) -> Check:
    outcome = Outcome.PASS if holds else Outcome.FAIL
    return Check(
        code, name, outcome, result=result, limit=limit, unit=unit, limit_words=f"{way} {_measure(limit, unit)}", **words
    )


def _measure(value: Decimal | None, unit: str) -> str:
    return "" if value is None else f"{plain(value)} {unit}".strip()

"""What testers write, read as they mean it: 0,35 · >200 · LIM · N/A · ∞ · <0.01 · 0.35Ω · 200 MΩ · 24 ms.

Whatever is written, reading it never raises: what is no reading is refused with a sentence.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.figures import plain
from jobs.core.stages import Worded

LONGEST_TEXT = 40


class Unit(Worded):
    """Unit of a field; the label is what is printed."""

    OHM = "ohm", "Ω"
    MEGOHM = "megohm", "MΩ"
    MILLISECOND = "millisecond", "ms"
    KILOAMP = "kiloamp", "kA"
    VOLT = "volt", "V"
    WORDS = "words", ""


class State(Worded):
    """What a reading amounts to: measured, beyond the tester's range, a word in place of a figure, or not a reading."""

    BLANK = "blank", "Not entered"
    VALUE = "value", "Measured"
    OVER = "over", "More than the tester can show"
    UNDER = "under", "Less than the tester can show"
    LIMITED = "limited", "Could not be tested"
    NOT_APPLICABLE = "not_applicable", "Does not apply"
    GOOD = "good", "In order"
    BAD = "bad", "Not in order"
    REFUSED = "refused", "Not a reading"


@dataclass(frozen=True)
class Reading:
    """`text` as written; `amount` in the field's unit (for OVER and UNDER the bound, None for open circuit)."""

    text: str
    state: State
    amount: Decimal | None = None
    problem: str = ""

    @property
    def is_entered(self) -> bool:
        """Something was written, and it is a reading."""
        return self.state not in (State.BLANK, State.REFUSED)

    def words(self, unit: Unit) -> str:
        """As it is printed in a record."""
        if self.state == State.OVER and self.amount is None:
            return "did not trip" if unit == Unit.MILLISECOND else "open circuit, no reading"
        if self.amount is None:
            return self.text if self.state == State.REFUSED else self.state.label
        sign = {State.OVER: "> ", State.UNDER: "< "}.get(self.state, "")
        return f"{sign}{plain(self.amount)} {unit.label}".strip()


MOST = {
    Unit.OHM: Decimal(10_000), Unit.MEGOHM: Decimal(200_000), Unit.MILLISECOND: Decimal(10_000), Unit.KILOAMP: Decimal(100),
    Unit.VOLT: Decimal(1500),
}
"""More than this no tester shows: it is a slipped digit (common practice, no source)."""

_SCALES = {
    Unit.OHM: {"": "1", "ohm": "1", "r": "1", "mohm": "0.001", "kohm": "1000", "Mohm": "1000000"},
    Unit.MEGOHM: {"": "1", "m": "1", "mohm": "1", "meg": "1", "megohm": "1", "k": "0.001", "kohm": "0.001", "g": "1000",
                  "gohm": "1000", "ohm": "0.000001"},
    Unit.MILLISECOND: {"": "1", "ms": "1", "msec": "1", "s": "1000", "sec": "1000"},
    Unit.KILOAMP: {"": "1", "ka": "1", "a": "0.001"},
    Unit.VOLT: {"": "1", "v": "1", "kv": "1000"},
}
"""Units as typed beside a figure, and what one of them is in the field's unit. Only Ω fields tell m from M."""

_WORDS = {
    State.LIMITED: {"lim", "limitation", "nv", "n/v", "not verified", "not tested"},
    State.NOT_APPLICABLE: {"n/a", "na", "n.a.", "n.a", "not applicable"},
    State.OVER: {"∞", "inf", "infinity", "infinite", "ol", "o.l", "o.l.", "o/l", "open", "open circuit", "oc", "o/c", "no trip"},
    State.GOOD: {"✓", "✔", "ok", "pass", "passed", "yes", "y", "good", "correct"},
    State.BAD: {"x", "✗", "✘", "×", "fail", "failed", "no", "n", "bad", "wrong"},
    State.BLANK: {"", "-", "–", "—"},
}
_NUMBER = re.compile(r"([<>]|>=|<=|≥|≤)?\s*([-+−])?\s*([0-9][0-9.,]*|[.,][0-9]+)\s*([a-zA-ZΩ]*)", re.ASCII)
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?")
_PLAIN = re.compile(r"[0-9]*[.,]?[0-9]+|[0-9]+[.,]")


def read(text: str, unit: Unit) -> Reading:
    """What a tester wrote in a field of a unit. Never raises."""
    written = str(text).strip()
    if len(written) > LONGEST_TEXT:
        return _refused(written[:LONGEST_TEXT] + "…", f"A reading is at most {LONGEST_TEXT} characters long.")
    tidy = " ".join(unicodedata.normalize("NFKC", written).split())
    state = next((state for state, words in _WORDS.items() if tidy.lower() in words), None)
    if state is not None:
        return _by_word(written, state, unit)
    return _refused(written, f"Write one of: {_examples(unit)}.") if unit == Unit.WORDS else _by_number(written, tidy, unit)


def _by_word(written: str, state: State, unit: Unit) -> Reading:
    is_tick = state in (State.GOOD, State.BAD)
    if is_tick and unit != Unit.WORDS:
        return _refused(written, f"“{written}” says nothing measured. Write one of: {_examples(unit)}.")
    if state == State.OVER and unit == Unit.WORDS:
        return _refused(written, f"Write one of: {_examples(unit)}.")
    return Reading(written, state)


def _by_number(written: str, tidy: str, unit: Unit) -> Reading:
    found = _NUMBER.fullmatch(tidy)
    if found is None:
        return _refused(written, f"“{written}” is not a reading. Write one of: {_examples(unit)}.")
    sign, minus, digits, typed_unit = found.groups()
    if minus in ("-", "−"):
        return _refused(written, "A reading cannot be negative. Null the leads, and measure again.")
    amount, problem = _amount(digits)
    scale = _scale(typed_unit, unit)
    if scale is None:
        problem = problem or f"“{typed_unit}” is not a unit of this field, which is in {unit.label}."
    if problem:
        return _refused(written, problem)
    return _bounded(written, sign or "", amount * scale, unit)


def _bounded(written: str, sign: str, amount: Decimal, unit: Unit) -> Reading:
    if amount > MOST[unit]:
        return _refused(written, f"{plain(amount)} {unit.label} is more than any tester shows. Look for a slipped digit or unit.")
    state = State.OVER if sign in (">", ">=", "≥") else State.UNDER if sign else State.VALUE
    return Reading(written, state, amount)


def _amount(digits: str) -> tuple[Decimal, str]:
    """The figure, comma or point; 1,000 may mean either and is asked about."""
    if "." not in digits and _THOUSANDS.fullmatch(digits):
        return Decimal(0), f"“{digits}” can be read two ways. Write {digits.replace(',', '')} or {digits.replace(',', '.', 1)}."
    if _THOUSANDS.fullmatch(digits):
        return Decimal(digits.replace(",", "")), ""
    if _PLAIN.fullmatch(digits):
        return Decimal(digits.replace(",", ".")), ""
    return Decimal(0), f"“{digits}” is not a figure. Write it with one point or comma."


def _scale(typed: str, unit: Unit) -> Decimal | None:
    word = typed.replace("Ω", "ohm")
    word = word[:-1] if word.lower().endswith(("ohms", "megs")) else word
    keeps_case = unit == Unit.OHM and word[:1] in ("m", "M")
    found = _SCALES[unit].get(word[:1] + word[1:].lower() if keeps_case else word.lower())
    return None if found is None else Decimal(found)


def _examples(unit: Unit) -> str:
    return {
        Unit.OHM: "0.35, <0.01, ∞, LIM, N/A",
        Unit.MEGOHM: ">200, 150, LIM, N/A",
        Unit.MILLISECOND: "24, >300, no trip, LIM, N/A",
        Unit.KILOAMP: "1.2, >10, LIM, N/A",
        Unit.VOLT: "230, LIM, N/A",
        Unit.WORDS: "ok, fail, LIM, N/A",
    }[unit]


def _refused(written: str, problem: str) -> Reading:
    return Reading(written, State.REFUSED, None, problem)


def within_most(reading: Reading, limit: Decimal) -> bool | None:
    """Whether what was read is at most the limit; None where the tester's range leaves it open."""
    if reading.state == State.OVER:
        return False if reading.amount is None or reading.amount >= limit else None
    if reading.amount <= limit:
        return True
    return False if reading.state == State.VALUE else None


def within_least(reading: Reading, limit: Decimal) -> bool | None:
    """Whether what was read is at least the limit; None where the tester's range leaves it open."""
    if reading.state == State.UNDER:
        return False if reading.amount <= limit else None
    if reading.amount is None or reading.amount >= limit:
        return True
    return False if reading.state == State.VALUE else None

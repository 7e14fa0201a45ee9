"""What one cell may hold. Each kind reads a text and says in words what is allowed."""

import difflib
import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property, lru_cache

UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]")
"""Characters that no one types and that neither a spreadsheet nor a database can hold."""

NUMBER = re.compile(r"-?[0-9]{1,9}(?:[.,][0-9]{1,12})?")


class CellFault(ValueError):
    """A cell that cannot be read; the message says what is wrong and what is allowed."""


def squeeze(text: str) -> str:
    """A text compared without case, spaces and marks, so that “Length (m)” is “length m”."""
    return "".join(letter for letter in unicodedata.normalize("NFKC", text).casefold() if letter.isalnum())


def same(text: str) -> str:
    """The form in which two names are the same name: case and spacing do not count."""
    return " ".join(text.casefold().split())


@dataclass(frozen=True)
class Text:
    """A short text of up to `most` characters; on one line unless `has_lines`."""

    most: int
    has_lines: bool = False

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        return f"text of up to {self.most} characters"

    def read(self, text: str) -> str:
        """The text without idle spaces. CellFault where it is too long or holds characters that cannot be seen."""
        if UNSEEN.search(text):
            raise CellFault(f"It holds characters that cannot be seen; type it again. Allowed: {self.allowed}.")
        value = unicodedata.normalize("NFC", text)
        value = "\n".join(value.splitlines()).strip() if self.has_lines else " ".join(value.split())
        if len(value) > self.most:
            raise CellFault(f"It is {len(value)} characters long. Allowed: {self.allowed}.")
        return value


@dataclass(frozen=True)
class Whole:
    """A whole number between two bounds, both allowed."""

    least: int
    most: int
    unit: str = ""

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        unit = f" {self.unit}" if self.unit else ""
        return f"a whole number from {self.least} to {self.most}{unit}"

    def read(self, text: str) -> int:
        """The number, with or without its unit behind it. CellFault where it is not whole, or outside the bounds."""
        number = _number(text, self.unit)
        if number is None or number != number.to_integral_value() or not self.least <= number <= self.most:
            raise CellFault(f"Allowed: {self.allowed}.")
        return int(number)


@dataclass(frozen=True)
class Measure:
    """A measure rounded to `places` decimals, between two bounds. A decimal comma is read as a point."""

    least: Decimal
    most: Decimal
    unit: str
    places: int = 2

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        return f"a number from {self.least} to {self.most} {self.unit}"

    def read(self, text: str) -> Decimal:
        """The measure in `unit`, which may stand behind it. CellFault where it is no plain number, or outside the bounds."""
        number = _number(text, self.unit)
        if number is None:
            raise CellFault(f"Allowed: {self.allowed}, without thousands marks.")
        number = number.quantize(Decimal(1).scaleb(-self.places), ROUND_HALF_UP)
        if not self.least <= number <= self.most:
            raise CellFault(f"Allowed: {self.allowed}.")
        return number


def _number(text: str, unit: str) -> Decimal | None:
    digits = text.replace("\N{MINUS SIGN}", "-").strip()
    if unit and digits.casefold().endswith(unit.casefold()):
        digits = digits[: -len(unit)].rstrip()
    return Decimal(digits.replace(",", ".")) if NUMBER.fullmatch(digits) else None


@dataclass(frozen=True)
class OneOf:
    """One of some words: `options` are (stored value, words shown), and either may be written."""

    options: tuple[tuple[str, str], ...]
    lists_all: bool = True

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        return ", ".join(label for _, label in self.options) if self.lists_all else "a name from the list of points"

    def read(self, text: str) -> str:
        """The stored value, however its words are spaced or cased. CellFault, with the nearest words, where it is none."""
        value = self._find(text)
        if value is None:
            raise CellFault(_guess(squeeze(text), self.options) + f"Allowed: {self.allowed}.")
        return value

    def show(self, value: str) -> str:
        """The words for a stored value, or the value itself where its words would read back as another."""
        words = dict(self.options).get(value, value)
        return words if self._find(words) == value else value

    def _find(self, text: str) -> str | None:
        return text if text in self._values else self._value_of.get(squeeze(text))

    @cached_property
    def _values(self) -> set[str]:
        return {value for value, _ in self.options}

    @cached_property
    def _value_of(self) -> dict[str, str]:
        """The first value that each way of writing stands for."""
        found: dict[str, str] = {}
        for value, label in self.options:
            for name in filter(None, map(squeeze, (value, label, *label.split(" or ")))):
                found.setdefault(name, value)
        return found


@lru_cache(maxsize=1000)
def _guess(wanted: str, options: tuple[tuple[str, str], ...]) -> str:
    labels = {squeeze(label): label for _, label in options}
    near = difflib.get_close_matches(wanted, labels, n=2, cutoff=0.6)
    return f"Did you mean {' or '.join(f'“{labels[name]}”' for name in near)}? " if near else ""


LEVEL_WORDS = {
    "basement": -1, "cellar": -1, "ground": 0, "groundfloor": 0, "first": 1, "firstfloor": 1, "second": 2,
    "secondfloor": 2, "third": 3, "thirdfloor": 3,
}


@dataclass(frozen=True)
class Level:
    """A storey: a number from 0, the ground floor, or its usual word."""

    allowed: str = "a whole number from -3 to 20 (0 = ground floor), or cellar, ground, first, second, third"

    def read(self, text: str) -> int:
        """The storey, 0 for the ground floor. CellFault outside -3 to 20."""
        if squeeze(text) in LEVEL_WORDS:
            return LEVEL_WORDS[squeeze(text)]
        try:
            return Whole(-3, 20).read(text)
        except CellFault:
            raise CellFault(f"Allowed: {self.allowed}.") from None


CellKind = Text | Whole | Measure | OneOf | Level

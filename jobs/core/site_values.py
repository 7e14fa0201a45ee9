"""Parts of what a phone sends, read strictly: each reader answers a plain value or raises BadOperation naming the part."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from uuid import UUID

Value = Mapping[str, object]


class BadOperation(Exception):
    """The operation makes no sense and never will; the message says which part."""


def read_uuid(value: object, name: str) -> str:
    """A UUID in its usual 36 letters, lower case."""
    try:
        return str(UUID(value)) if isinstance(value, str) and len(value) == 36 else _fail(name)
    except ValueError:
        return _fail(name)


def _fail(name: str) -> str:
    raise BadOperation(f"“{name}” is a UUID.")


def read_time(value: object, name: str) -> datetime:
    """A moment with its offset from UTC, of the years 1990 to 9000."""
    try:
        moment = datetime.fromisoformat(value) if isinstance(value, str) and len(value) <= 40 else None
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None or not 1990 <= moment.year <= 9000:
        raise BadOperation(f"“{name}” is a time such as 2027-01-12T09:30:00Z.")
    return moment


def read_day(value: Value, name: str) -> date:
    """A day as YYYY-MM-DD, of the years 1990 to 9000."""
    given = value.get(name)
    try:
        day = date.fromisoformat(given) if isinstance(given, str) and len(given) == 10 else None
    except ValueError:
        day = None
    if day is None or not 1990 <= day.year <= 9000:
        raise BadOperation(f"“{name}” is a day such as 2027-01-12.")
    return day


def read_number(value: Value, name: str, low: Decimal | int, high: Decimal | int, step: str = "1") -> Decimal:
    """A number from `low` to `high`, a multiple of `step`; as a number or as text, since forms send text."""
    given = value.get(name)
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise BadOperation(f"“{name}” is a number.")
    try:
        number = Decimal(str(given).strip()[:40])
    except InvalidOperation:
        raise BadOperation(f"“{name}” is a number.") from None
    if not number.is_finite() or not low <= number <= high:
        raise BadOperation(f"“{name}” lies between {low} and {high}.")
    if number % Decimal(step):
        raise BadOperation(f"“{name}” goes in steps of {step}.")
    return number.quantize(Decimal(step))


def read_text(value: Value, name: str, most: int, *, needed: str = "") -> str:
    """Printable text on one line of at most `most` letters; `needed` says what to do when it is missing."""
    given = value.get(name, "")
    if not isinstance(given, str) or len(given) > most:
        raise BadOperation(f"“{name}” is a text of at most {most} letters.")
    plain = " ".join("".join(letter if letter.isprintable() else " " for letter in given).split())
    if needed and not plain:
        raise BadOperation(needed)
    return plain


def read_choice(value: Value, name: str, choices: Collection[str], *, may_be_blank: bool = False) -> str:
    """One of `choices`; with `may_be_blank` nothing is an answer too, read as an empty text."""
    given = value.get(name, "")
    if given == "" and may_be_blank:
        return ""
    if not isinstance(given, str) or given not in choices:
        raise BadOperation(f"“{name}” is one of {', '.join(choices)}.")
    return str(given)

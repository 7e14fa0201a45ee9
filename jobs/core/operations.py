"""What a phone sends: one operation, read strictly, so that nothing odd reaches the database.

An operation is a mapping:

    op_id      UUID made by the phone; sending the same operation again changes nothing
    kind       "tick", "untick" or "not_needed"
    item       UUID of the line it is about
    value      tick: {"share": 0 < number ≤ 1, "replaces": [op_id, …]}; untick: {"replaces": [op_id, …]};
               not_needed: {"reason": text, "replaces": [op_id, …]}
    device_at  when it happened, by the phone's clock, ISO 8601 with offset
    sent_at    when it was sent, by the same clock (not part of what makes two operations the same)
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from hashlib import sha256
from uuid import UUID

MOST_REPLACED = 200
LONGEST_REASON = 200
SMALLEST_SHARE = Decimal("0.01")
MOST_AHEAD = timedelta(days=14)
"""A phone's clock may be put back between doing and sending, but not by more than this."""


class BadOperation(Exception):
    """The operation makes no sense and never will; the message says which part."""


@dataclass(frozen=True)
class Operation:
    op_id: str
    kind: str
    item: str
    device_at: datetime
    sent_at: datetime
    share: Decimal = Decimal(0)
    reason: str = ""
    replaces: frozenset[str] = field(default_factory=frozenset)

    @property
    def value(self) -> dict[str, object]:
        """What is stored of it, ready for JSON."""
        return {"share": str(self.share), "reason": self.reason, "replaces": sorted(self.replaces)}

    @property
    def body_hash(self) -> str:
        """Equal for two sendings of one operation, different when the same id was used for something else."""
        body = [self.op_id, self.kind, self.item, self.device_at.isoformat(), self.value]
        return sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


def read_operation(body: object) -> Operation:
    """The operation in `body`, or BadOperation."""
    if not isinstance(body, Mapping):
        raise BadOperation("An operation is an object.")
    kind, value = body.get("kind"), body.get("value", {})
    if not isinstance(kind, str) or kind not in _READERS:
        raise BadOperation(f"“kind” is one of {', '.join(_READERS)}.")
    if not isinstance(value, Mapping):
        raise BadOperation("“value” is an object.")
    operation = Operation(
        op_id=_read_uuid(body.get("op_id"), "op_id"),
        kind=kind,
        item=_read_uuid(body.get("item"), "item"),
        device_at=_read_time(body.get("device_at"), "device_at"),
        sent_at=_read_time(body.get("sent_at"), "sent_at"),
        replaces=_read_replaces(value.get("replaces", [])),
        **_READERS[kind](value),
    )
    return _checked(operation)


def read_id(body: object) -> str | None:
    """The id an answer can be matched by, even when the rest of the operation is bad."""
    op_id = body.get("op_id") if isinstance(body, Mapping) else None
    return op_id if isinstance(op_id, str) and len(op_id) <= 64 else None


def _checked(operation: Operation) -> Operation:
    if operation.device_at - operation.sent_at > MOST_AHEAD:
        raise BadOperation("“device_at” lies far after “sent_at”.")
    if operation.op_id in operation.replaces:
        raise BadOperation("An operation cannot replace itself.")
    if operation.kind == "untick" and not operation.replaces:
        raise BadOperation("An untick names the ticks it takes back in “replaces”.")
    return operation


def _read_tick(value: Mapping[str, object]) -> dict[str, object]:
    share = value.get("share", 1)
    if isinstance(share, bool) or not isinstance(share, int | float | str):
        raise BadOperation("“share” is a number.")
    try:
        number = Decimal(str(share)[:40])
    except InvalidOperation:
        raise BadOperation("“share” is a number.") from None
    if not number.is_finite() or not SMALLEST_SHARE <= number <= 1:
        raise BadOperation("“share” lies between 0.01 and 1.")
    return {"share": number.quantize(Decimal("0.001")).normalize()}


def _read_untick(value: Mapping[str, object]) -> dict[str, object]:
    return {}


def _read_not_needed(value: Mapping[str, object]) -> dict[str, object]:
    reason = value.get("reason")
    if not isinstance(reason, str) or len(reason) > LONGEST_REASON:
        raise BadOperation(f"“reason” is a text of at most {LONGEST_REASON} letters.")
    plain = " ".join("".join(letter if letter.isprintable() else " " for letter in reason).split())
    if not plain:
        raise BadOperation("Say in “reason” why the line is not needed here.")
    return {"reason": plain}


_READERS: dict[str, Callable[[Mapping[str, object]], dict[str, object]]] = {
    "tick": _read_tick,
    "untick": _read_untick,
    "not_needed": _read_not_needed,
}


def _read_uuid(value: object, name: str) -> str:
    try:
        return str(UUID(value)) if isinstance(value, str) and len(value) == 36 else _fail(name)
    except ValueError:
        return _fail(name)


def _fail(name: str) -> str:
    raise BadOperation(f"“{name}” is a UUID.")


def _read_replaces(value: object) -> frozenset[str]:
    if not isinstance(value, list) or len(value) > MOST_REPLACED:
        raise BadOperation(f"“replaces” is a list of at most {MOST_REPLACED} ids.")
    return frozenset(_read_uuid(op_id, "replaces") for op_id in value)


def _read_time(value: object, name: str) -> datetime:
    try:
        moment = datetime.fromisoformat(value) if isinstance(value, str) and len(value) <= 40 else None
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None or not 1990 <= moment.year <= 9000:
        raise BadOperation(f"“{name}” is a time such as 2027-01-12T09:30:00Z.")
    return moment

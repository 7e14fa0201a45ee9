"""What a phone sends: one operation, read strictly, so that nothing odd reaches the database.

An operation is a mapping:

    op_id      UUID made by the phone; sending the same operation again changes nothing
    kind       what was done; see below
    item       UUID of what it is about: a line, point, room, package, circuit, job or person
    value      the figures and words of it, by kind; numbers may be given as text
    device_at  when it happened, by the phone's clock, ISO 8601 with offset
    sent_at    when it was sent, by the same clock (not part of what makes two operations the same)

Kinds, what `item` is, and `value`:

    tick        line   {"share": 0 < number ≤ 1, "replaces": [op_id, …]}
    untick      line   {"replaces": [op_id, …]}
    not_needed  line   {"reason": text, "replaces": [op_id, …]}
    measure     point  {"wall_1": "A" or "C", "from_1_mm": whole, "wall_2": "B" or "D", "from_2_mm": whole}
    photo       room   {"stage": stage, "surface": wall, "ceiling", "floor" or "", "point": UUID or "", "words": text};
                       its bytes come beside it
    snag        room   {"stage": stage, "hours": 0.25 to 80, "words": text}; a picture may come beside it
    hours       package  {"hours": 0 to 24 by quarters}, worked by the sender on the day it was said
    used        package  {"drum": label, "start_mark": m, "end_mark": m}, the figures printed on the sheath at both ends
                       of what was pulled in; or {"thing": code of the item, "pieces": whole}
    brought_back  package  {"thing": code, "quantity": pieces or metres, "label": what is written on an offcut}
    readings    circuit  {"when": "first_fix" or "end", "instrument": UUID or "", "test_volts": "500" or "250", "note": text}
                       and a text for each measure (jobs.core.electrics.under_test), as the tester wrote it; blanks left out
    sockets     circuit, a ring cross-connected  the same, but a text for each socket: "cross_live_" or "cross_cpc_" and the
                       UUID of its point without hyphens
    supply      job    the same without "when" and "test_volts", a text for each measure of jobs.core.electrics.supply_tests
    found       room   {"point_kind": its code, "quantity": 1 to 50, "circuit": reference or "", "label": text,
                       "height_mm": whole or "", "words": text}
    put_on_van  person  {"line": UUID of this tick of the van list, "on": day, "thing": code, "place": number of the place
                       it is taken from, "drum": label or "", "quantity": pieces or metres}
    take_off_van  person  {"line": UUID of the tick that is taken back}
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from decimal import Decimal
from hashlib import sha256
from uuid import UUID

from jobs.core.centres import LENGTH_WALLS, LONGEST_MM, SURFACES, WIDTH_WALLS
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import LIVE_TESTS, TEST_VOLTS, Measure, WhenTested
from jobs.core.site_values import BadOperation, Value, read_choice, read_day, read_number, read_text, read_time, read_uuid
from jobs.core.stages import WORKED_STAGES, Stage

__all__ = ["BadOperation", "Operation", "read_id", "read_operation", "with_picture"]

MARKS = ("tick", "untick", "not_needed")
MOST_REPLACED = 200
LONGEST_REASON = 200
LONGEST_WRITTEN = 200
MOST_METRES, MOST_PIECES = 99_999, 9_999
MOST_SOCKET_READINGS = 400
SOCKET_NAMES = tuple(f"{one}_" for one in SocketMeasure)
LARGEST_NUMBER = 2**31 - 1
QUARTER = Decimal("0.25")
SMALLEST_SHARE = Decimal("0.01")
MOST_AHEAD = timedelta(days=14)
"""A phone's clock may be put back between doing and sending, but not by more than this."""


@dataclass(frozen=True)
class Operation:
    """One thing done on a phone, already read and sound; the fields are told at the top of this module."""

    op_id: str
    kind: str
    item: str
    device_at: datetime
    sent_at: datetime
    share: Decimal = Decimal(0)
    reason: str = ""
    replaces: frozenset[str] = field(default_factory=frozenset)
    details: Mapping[str, object] = field(default_factory=dict)

    @property
    def value(self) -> dict[str, object]:
        """What is stored of it, ready for JSON."""
        if self.kind not in MARKS:
            return dict(self.details)
        return {"share": str(self.share), "reason": self.reason, "replaces": sorted(self.replaces)}

    @property
    def body_hash(self) -> str:
        """Equal for two sendings of one operation, different when the same id was used for something else."""
        body = [self.op_id, self.kind, self.item, self.device_at.isoformat(), self.value]
        return sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


def with_picture(operation: Operation, sha256_of_bytes: str) -> Operation:
    """The operation together with the picture that came beside it: another picture makes it another operation."""
    return replace(operation, details={**operation.details, "sha256": sha256_of_bytes})


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
        op_id=read_uuid(body.get("op_id"), "op_id"),
        kind=kind,
        item=read_uuid(body.get("item"), "item"),
        device_at=read_time(body.get("device_at"), "device_at"),
        sent_at=read_time(body.get("sent_at"), "sent_at"),
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


def _read_tick(value: Value) -> dict[str, object]:
    share = read_number({"share": 1} | dict(value), "share", SMALLEST_SHARE, 1, "0.001")
    return {"share": share.normalize()}


def _read_untick(value: Value) -> dict[str, object]:
    return {}


def _read_not_needed(value: Value) -> dict[str, object]:
    return {"reason": read_text(value, "reason", LONGEST_REASON, needed="Say in “reason” why the line is not needed here.")}


def _read_measure(value: Value) -> dict[str, object]:
    return {
        "wall_1": read_choice(value, "wall_1", LENGTH_WALLS),
        "from_1_mm": int(read_number(value, "from_1_mm", 0, LONGEST_MM)),
        "wall_2": read_choice(value, "wall_2", WIDTH_WALLS),
        "from_2_mm": int(read_number(value, "from_2_mm", 0, LONGEST_MM)),
    }


def _read_photo(value: Value) -> dict[str, object]:
    return {
        "stage": read_choice(value, "stage", tuple(Stage)),
        "surface": read_choice(value, "surface", tuple(SURFACES), may_be_blank=True),
        "point": read_uuid(value["point"], "point") if value.get("point") else "",
        "words": read_text(value, "words", LONGEST_REASON),
    }


def _read_snag(value: Value) -> dict[str, object]:
    return {
        "stage": read_choice(value, "stage", WORKED_STAGES),
        "hours": str(read_number(value, "hours", QUARTER, 80, str(QUARTER))),
        "words": read_text(value, "words", LONGEST_REASON, needed="Say in “words” what is to be put right."),
    }


def _read_hours(value: Value) -> dict[str, object]:
    return {"hours": str(read_number(value, "hours", 0, 24, str(QUARTER)))}


def _read_used(value: Value) -> dict[str, object]:
    if drum := read_text(value, "drum", 20):
        start, end = (str(read_number(value, name, 0, MOST_METRES, "0.01")) for name in ("start_mark", "end_mark"))
        if start == end:
            raise BadOperation("“start_mark” and “end_mark” are the same: no cable was used.")
        return {"drum": drum, "start_mark": start, "end_mark": end, "thing": "", "pieces": ""}
    thing = read_text(value, "thing", 40, needed="Name a drum or an item.")
    pieces = str(read_number(value, "pieces", 1, MOST_PIECES))
    return {"drum": "", "start_mark": "", "end_mark": "", "thing": thing, "pieces": pieces}


def _read_brought_back(value: Value) -> dict[str, object]:
    return {
        "thing": read_text(value, "thing", 40, needed="Name the item in “thing”."),
        "quantity": str(read_number(value, "quantity", Decimal("0.01"), MOST_METRES, "0.01")),
        "label": read_text(value, "label", 20),
    }


def _read_found(value: Value) -> dict[str, object]:
    height_mm = value.get("height_mm", "")
    return {
        "point_kind": read_text(value, "point_kind", 40, needed="Say in “point_kind” what kind of point it is."),
        "quantity": int(read_number(value, "quantity", 1, 50)),
        "circuit": read_text(value, "circuit", 12),
        "label": read_text(value, "label", 80),
        "height_mm": None if height_mm in ("", None) else int(read_number(value, "height_mm", 0, 10_000)),
        "words": read_text(value, "words", LONGEST_REASON),
    }


def _read_readings(value: Value) -> dict[str, object]:
    when = read_choice(value, "when", tuple(WhenTested))
    texts = {measure.value: read_text(value, measure.value, LONGEST_WRITTEN) for measure in Measure}
    written = {measure: text for measure, text in texts.items() if text}
    if when == WhenTested.FIRST_FIX and (live := sorted(LIVE_TESTS & written.keys())):
        raise BadOperation(f"“{live[0]}” is measured at the end, never at first fix.")
    return {
        "when": when,
        "test_volts": int(read_choice({"test_volts": "500"} | dict(value), "test_volts", tuple(map(str, TEST_VOLTS)))),
        **_read_tested(value, written),
    }


def _read_sockets(value: Value) -> dict[str, object]:
    names = [name for name in value if isinstance(name, str) and name.startswith(SOCKET_NAMES)]
    if len(names) > MOST_SOCKET_READINGS:
        raise BadOperation(f"At most {MOST_SOCKET_READINGS} readings at once.")
    written: dict[str, dict[str, str]] = {}
    for name in names:
        measure, point = _read_socket_name(name)
        if text := read_text(value, name, LONGEST_WRITTEN):
            written.setdefault(point, {})[measure] = text
    return {"when": read_choice(value, "when", tuple(WhenTested)), **_read_tested(value, written)}


def _read_socket_name(name: str) -> tuple[str, str]:
    measure = next(one for one in SocketMeasure if name.startswith(f"{one}_"))
    try:
        return measure.value, str(UUID(hex=name.removeprefix(f"{measure}_")))
    except ValueError:
        raise BadOperation(f"“{name[:60]}” names no socket.") from None


def _read_supply(value: Value) -> dict[str, object]:
    texts = {measure.value: read_text(value, measure.value, LONGEST_WRITTEN) for measure in SupplyMeasure}
    return _read_tested(value, {measure: text for measure, text in texts.items() if text})


def _read_tested(value: Value, written: Mapping[str, object]) -> dict[str, object]:
    if not written:
        raise BadOperation("Write at least one reading.")
    return {
        "instrument": read_uuid(value["instrument"], "instrument") if value.get("instrument") else "",
        "note": read_text(value, "note", LONGEST_REASON),
        "written": dict(written),
    }


def _read_put_on_van(value: Value) -> dict[str, object]:
    return {
        "line": read_uuid(value.get("line"), "line"),
        "on": read_day(value, "on").isoformat(),
        "thing": read_text(value, "thing", 40, needed="Name the item in “thing”."),
        "place": int(read_number(value, "place", 1, LARGEST_NUMBER)),
        "drum": read_text(value, "drum", 20),
        "quantity": str(read_number(value, "quantity", Decimal("0.01"), MOST_METRES, "0.01")),
    }


def _read_take_off_van(value: Value) -> dict[str, object]:
    return {"line": read_uuid(value.get("line"), "line")}


def _as_details(read: Callable[[Value], dict[str, object]]) -> Callable[[Value], dict[str, object]]:
    return lambda value: {"details": read(value)}


_READERS: dict[str, Callable[[Value], dict[str, object]]] = {
    "tick": _read_tick,
    "untick": _read_untick,
    "not_needed": _read_not_needed,
    "measure": _as_details(_read_measure),
    "photo": _as_details(_read_photo),
    "snag": _as_details(_read_snag),
    "hours": _as_details(_read_hours),
    "used": _as_details(_read_used),
    "brought_back": _as_details(_read_brought_back),
    "found": _as_details(_read_found),
    "put_on_van": _as_details(_read_put_on_van),
    "take_off_van": _as_details(_read_take_off_van),
    "readings": _as_details(_read_readings),
    "sockets": _as_details(_read_sockets),
    "supply": _as_details(_read_supply),
}


def _read_replaces(value: object) -> frozenset[str]:
    if not isinstance(value, list) or len(value) > MOST_REPLACED:
        raise BadOperation(f"“replaces” is a list of at most {MOST_REPLACED} ids.")
    return frozenset(read_uuid(op_id, "replaces") for op_id in value)

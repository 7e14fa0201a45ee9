"""Mails that come back: what a calendar program or a person answered. Everything in them is somebody else's word.

Sources: RFC 5546 sections 3.2.3 (REPLY) and 3.2.7 (COUNTER), RFC 6047 sections 2.2 to 2.4, RFC 3834 section 5
(automatic responses), RFC 3464 (bounces).
"""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from email import message_from_bytes
from email.header import decode_header, make_header
from email.message import Message
from email.utils import getaddresses

from icalendar import Calendar, Event

from jobs.calendars.text import clean

MOST_BYTES = 64 * 1024
"""A nested object of this size takes a fifth of a second to read; one of 1.7 MB took three."""

MOST_WORDS = 2000
ANSWERING = ("REPLY", "COUNTER")
RECIPIENT_HEADERS = ("To", "Cc", "Delivered-To", "X-Original-To", "Envelope-To")
BOUNCERS = re.compile(r"(mailer-daemon|postmaster)(\+[^@]*)?@", re.IGNORECASE)
QUOTED = re.compile(r"^(>|-{2,}\s*original message|on .{0,200}wrote:\s*$|from:\s)", re.IGNORECASE)


@dataclass(frozen=True)
class CalendarAnswer:
    """What a calendar program said: who answers which version of which event how, and when it was written.

    `participation` is RFC 5545's PARTSTAT. `proposed` is the start of the time they propose instead, in a COUNTER.
    """

    uid: str
    sequence: int
    attendee: str
    participation: str
    stamped_at: datetime | None = None
    comment: str = ""
    proposed: date | datetime | None = None


@dataclass(frozen=True)
class IncomingMail:
    """A mail as far as it matters. `ignored` says why nobody needs to see it; addresses are lower case."""

    message_id: str
    sender: str
    recipients: tuple[str, ...]
    words: str = ""
    answer: CalendarAnswer | None = None
    ignored: str = ""
    fault: str = ""


def read_mail(raw: bytes) -> IncomingMail:
    """Read one mail; never raises. Beyond `MOST_BYTES` only its head is read, and `fault` says so."""
    message = message_from_bytes(raw[:MOST_BYTES])
    addresses = _addresses(message, "From")
    head = {
        "message_id": _message_id(message, raw),
        "sender": addresses[0] if addresses else "",
        "recipients": tuple(address for name in RECIPIENT_HEADERS for address in _addresses(message, name)),
    }
    if _is_bounce(message, head["sender"]):
        return IncomingMail(**head, ignored="a delivery report")
    if len(raw) > MOST_BYTES:
        return IncomingMail(**head, fault=f"It is larger than {MOST_BYTES // 1024} kB, so it was not read.")
    answer, fault = _calendar_answer(message, head["sender"])
    if answer is None and _is_automatic(message):
        return IncomingMail(**head, ignored="an automatic reply")
    return IncomingMail(**head, words=_words(message), answer=answer, fault=fault)


def _message_id(message: Message, raw: bytes) -> str:
    """Its own, or one made of its bytes, so that the same mail is known again."""
    own = re.search(r"<[^<>\s]{1,250}>", _header(message, "Message-ID"))
    return own[0] if own else f"<{hashlib.sha256(raw).hexdigest()}>"


def _header(message: Message, name: str) -> str:
    try:
        return str(make_header(decode_header(str(message.get(name, "")))))
    except (ValueError, LookupError):
        return ""


def _addresses(message: Message, name: str) -> list[str]:
    found = getaddresses([str(value) for value in message.get_all(name, [])])
    return [address.lower() for _, address in found if "@" in address]


def _is_bounce(message: Message, sender: str) -> bool:
    has_empty_return = str(message.get("Return-Path", "x")).strip() == "<>"
    return message.get_content_type() == "multipart/report" or has_empty_return or bool(BOUNCERS.match(sender))


def _is_automatic(message: Message) -> bool:
    submitted = str(message.get("Auto-Submitted", "no")).split(";")[0].strip().lower()
    precedence = str(message.get("Precedence", "")).strip().lower()
    marks = ("X-Autoreply", "X-Autorespond", "List-Id")
    return submitted != "no" or precedence in {"bulk", "junk", "list", "auto_reply"} or any(map(message.get, marks))


def _calendar_answer(message: Message, sender: str) -> tuple[CalendarAnswer | None, str]:
    """The answer in the mail's calendar part, and what is wrong with one that cannot be read."""
    fault = ""
    for part in _parts(message, "text/calendar", "application/ics"):
        try:
            answer = _read_answer(part, sender)
        # Reading stops at whatever a stranger's bytes provoke; the library names no common base for its errors.
        except Exception as error:  # noqa: BLE001
            fault = f"Its calendar part cannot be read ({type(error).__name__})."
            continue
        if answer:
            return answer, ""
    return None, fault


def _read_answer(part: Message, sender: str) -> CalendarAnswer | None:
    calendar = Calendar.from_ical(part.get_payload(decode=True))
    method = str(calendar.get("METHOD", "")).upper()
    said = part.get_param("method")
    if method not in ANSWERING or (said and str(said).upper() != method):
        return None
    event = next(iter(calendar.walk("VEVENT")))
    attendee = _attendee(event, sender)
    return CalendarAnswer(
        uid=str(event["UID"]),
        sequence=int(event.get("SEQUENCE", 0)),
        attendee=_address_of(attendee),
        participation="" if method == "COUNTER" else str(attendee.params.get("PARTSTAT", "")).upper(),
        stamped_at=_stamp(event),
        comment=clean(str(event.get("COMMENT", "")))[:MOST_WORDS],
        proposed=event["DTSTART"].dt if method == "COUNTER" else None,
    )


def _attendee(event: Event, sender: str) -> object:
    """Whoever sent the mail if they are named, else the first named."""
    named = event.get("ATTENDEE")
    attendees = named if isinstance(named, list) else [named]
    return next((one for one in attendees if _address_of(one) == sender), attendees[0])


def _address_of(attendee: object) -> str:
    return re.sub(r"^mailto:", "", str(attendee).strip(), flags=re.IGNORECASE).lower()


def _stamp(event: Event) -> datetime | None:
    stamp = event.get("DTSTAMP")
    if stamp is None or not isinstance(stamp.dt, datetime):
        return None
    return stamp.dt.replace(tzinfo=UTC) if stamp.dt.tzinfo is None else stamp.dt.astimezone(UTC)


def _parts(message: Message, *types: str) -> Iterator[Message]:
    return (part for part in message.walk() if part.get_content_type() in types)


def _words(message: Message) -> str:
    """What a person wrote above what they quote."""
    part = next(_parts(message, "text/plain"), None)
    if part is None:
        return ""
    text = clean(_decoded(part))
    lines = []
    for line in text.split("\n"):
        if QUOTED.match(line.strip()):
            break
        lines.append(line.rstrip())
    return "\n".join(lines).strip()[:MOST_WORDS]


def _decoded(part: Message) -> str:
    payload = part.get_payload(decode=True) or b""
    try:
        return payload.decode(part.get_content_charset("utf-8"), "replace")
    except LookupError:
        return payload.decode("utf-8", "replace")

"""An invitation as the firm means it, before any calendar format: who asks whom to keep which time free."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from jobs.core.events import CalendarEvent, is_plain
from jobs.core.slots import Stretch

MOST_ADDRESS_CHARACTERS = 254


class Method(StrEnum):
    """What a message does to the event in the reader's calendar (RFC 5546 sections 3.2.2, 3.2.5 and 3.2.8)."""

    REQUEST = "REQUEST"
    CANCEL = "CANCEL"
    DECLINECOUNTER = "DECLINECOUNTER"
    """The time that their calendar proposed does not suit; the event stays as it is."""


@dataclass(frozen=True, slots=True)
class Party:
    """Somebody by name and mail address. Raises ValueError for an address that is not visible ASCII."""

    name: str
    address: str

    def __post_init__(self) -> None:
        if not is_plain(self.address, MOST_ADDRESS_CHARACTERS) or "@" not in self.address:
            raise ValueError("A mail address is visible ASCII with an @.")


@dataclass(frozen=True, slots=True)
class Invitation:
    """One message about one event.

    `event.revised_at` is when the message was made. `is_agreed`: they said yes already. `wants_reply`: an answer that
    their calendar program sends is read. `comment`: to whoever is answered.
    """

    method: Method
    event: CalendarEvent
    organizer: Party
    attendee: Party
    is_agreed: bool = False
    wants_reply: bool = True
    comment: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """What a reader sees of an event in their calendar."""

    stretch: Stretch
    is_tentative: bool
    summary: str
    description: str
    place: str


@dataclass(frozen=True, slots=True)
class Step:
    """What to send about one run of a visit, numbered from 1."""

    run: int
    method: Method
    shown: Shown


def steps(known: Sequence[Shown | None], wanted: Sequence[Shown]) -> list[Step]:
    """What to send so that a calendar that shows `known` shows `wanted`; both in order of runs, None where nothing stands.

    Nothing for a run that looks as it did. Runs that fall away are called off as they were last shown, before the rest.
    """
    padded = [*known, *[None] * (len(wanted) - len(known))]
    gone = [Step(run, Method.CANCEL, shown) for run, shown in enumerate(padded, 1) if shown and run > len(wanted)]
    asked = [
        Step(run, Method.REQUEST, shown) for run, shown in enumerate(wanted, 1) if shown != padded[run - 1]
    ]
    return [*gone, *asked]

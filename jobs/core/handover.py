"""A handover pack as sections of plain blocks, for a page and for paper alike; and its standing words.

Nothing here certifies anything: certificates are the competent person's own.
"""

import hashlib
import json
from calendar import monthrange
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date

from jobs.core.electrics.rules import CAUTION
from jobs.core.stages import Worded

MARK = "Record of readings for the competent person’s certificate"
NO_CERTIFICATE = (
    "These are readings as they were written down on site. This sheet is not a certificate and certifies nothing: the "
    "person who signs the certificate judges them."
)


class Part(Worded):
    """The sections, in their order."""

    HOUSE = "house", "The house"
    ROOMS = "rooms", "What was done, room by room"
    CIRCUITS = "circuits", "Circuit chart"
    READINGS = "readings", MARK
    PHOTOS = "photos", "Walls and ceilings before they were closed"
    CENTRES = "centres", "Centres of lights, fans and alarms"
    ALARMS = "alarms", "Fire alarms and how to test them"
    RCD = "rcd", "Testing the RCDs"
    MATERIALS = "materials", "Materials and warranties"
    OPEN = "open", "Open items"
    REASONS = "reasons", "Decided against the usual order, and why"
    CAUTIONS = "cautions", "Cautions"


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    text: str
    kind: str = "words"


@dataclass(frozen=True)
class Head:
    """A heading within a section."""

    text: str
    kind: str = "head"


@dataclass(frozen=True)
class Lines:
    """A list; numbered where the order matters."""

    items: tuple[str, ...]
    is_numbered: bool = False
    kind: str = "lines"


@dataclass(frozen=True)
class Warning:
    """What can hurt someone."""

    text: str
    kind: str = "warning"


@dataclass(frozen=True)
class Table:
    """`caption` says what it is to those who cannot see it; `widths` are shares of the width; figures as text."""

    caption: str
    heading: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[int, ...]
    kind: str = "table"


@dataclass(frozen=True)
class Picture:
    """`number` is the photo's own, `sum` that of its bytes; `alt` says what it shows."""

    number: int
    sum: str
    alt: str
    caption: str


@dataclass(frozen=True)
class Pictures:
    """Photos, in order."""

    pictures: tuple[Picture, ...]
    kind: str = "pictures"


Block = Words | Head | Lines | Warning | Table | Pictures


@dataclass(frozen=True)
class Section:
    """A part of the pack and what stands in it, in order."""

    part: Part
    blocks: tuple[Block, ...]

    @property
    def sum(self) -> str:
        """Differs as soon as anything in the section does."""
        said = json.dumps([asdict(block) for block in self.blocks], ensure_ascii=False, sort_keys=True)
        return hashlib.sha256(said.encode()).hexdigest()[:16]


@dataclass(frozen=True)
class Pack:
    """`title` names the house, `lines` whom to ask and for whom it is."""

    title: str
    firm: str
    lines: tuple[str, ...]
    sections: tuple[Section, ...]

    @property
    def sums(self) -> dict[str, str]:
        """A sum for each part in the pack, and under "head" that of its title, firm and lines."""
        head = hashlib.sha256(json.dumps([self.title, self.firm, self.lines]).encode()).hexdigest()[:16]
        return {"head": head} | {section.part.value: section.sum for section in self.sections}

    @property
    def pictures(self) -> list[Picture]:
        """Every photo of the pack, in order."""
        blocks = (block for section in self.sections for block in section.blocks)
        return [picture for block in blocks if isinstance(block, Pictures) for picture in block.pictures]


def name_changes(before: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    """Titles of the sections that differ, in their order."""
    titles = {"head": "Addresses"} | {part.value: part.label for part in Part}
    return [titles[key] for key in titles if before.get(key) != now.get(key)]


def table(caption: str, heading: Sequence[str], rows: Iterable[Sequence[str]], widths: Sequence[int]) -> Table:
    """A `Table` from rows of any kind."""
    return Table(caption, tuple(heading), tuple(tuple(row) for row in rows), tuple(widths))


ALARM_STEPS = (
    "Tell everyone in the house, so that nobody is frightened.",
    "Press and hold the test button of one alarm until it sounds.",
    "Every other alarm must sound within a few seconds. Walk round and listen.",
    "Let go. All of them must fall silent.",
    "One that stays silent, chirps or does not stop: call an electrician. Until then do not rely on it.",
)
ALARM_WORDS = (
    "Every month, and after you have been away. Look at each alarm’s label for the day on which it must be replaced, and keep "
    "it free of dust and paint. The makers’ leaflets come first. (Common practice, no source.)"
)
ALARM_WARNING = "Never cover, disconnect or take down an alarm. If it sounds and you do not know why, get everyone out."
RCD_STEPS = (
    "Switch off or save whatever must not lose power: computers, medical equipment, freezers, fish tanks.",
    "Press the button marked T or Test on one device in the consumer unit. Do not open any cover.",
    "The device must switch off at once. Switch it on again, fully off first if it needs that.",
    "Go on with the next one.",
)
RCD_WORDS = (
    "Every six months (BS 7671, 514.12.2, from an earlier edition and from memory). It shows that the device can move; "
    "whether it is fast enough only an instrument tells."
)
RCD_WARNING = (
    "A device that does not switch off, or does not stay on: leave that circuit off and call an electrician. Never hold it on "
    "with force or tape."
)
CAUTIONS = (
    "Cables run behind walls, floors and ceilings. They usually run straight up, down or across from what you see, but not "
    "always: look at the photos, use a detector, and drill nothing you are not sure of.",
    "Never open the consumer unit, and never touch the supply fuse, its seals or the meter. Only the network operator, or "
    "someone they permit, may.",
    "Whatever was switched off, locked or labelled stays so until the person who did it says otherwise.",
    "Before later work, have someone competent prove that what is to be touched is dead. This pack proves nothing of the kind.",
    "Have the installation inspected and tested again by the day your certificate names, and after damage by water or fire.",
    CAUTION,
)


def add_months(day: date, months: int) -> date:
    """The same day of the month so many months on, or that month's last day."""
    years, month = divmod(day.month - 1 + months, 12)
    last = monthrange(day.year + years, month + 1)[1]
    return date(day.year + years, month + 1, min(day.day, last))

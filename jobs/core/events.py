"""A calendar event as the firm means it, before any calendar format."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

MOST_UID_CHARACTERS = 120
MOST_ADDRESS_CHARACTERS = 2000


class Order(StrEnum):
    """How two pieces of work follow on each other (RFC 9253 section 4)."""

    FINISH_TO_START = "FINISHTOSTART"
    START_TO_START = "STARTTOSTART"


@dataclass(frozen=True, slots=True)
class Relation:
    """Of an event to the event `uid` that waits for it; `gap_days` have to pass in between."""

    order: Order
    uid: str
    gap_days: int = 0

    def __post_init__(self) -> None:
        _need(is_plain(self.uid, MOST_UID_CHARACTERS), "A UID is 1 to 120 visible ASCII characters.")
        _need(self.gap_days >= 0, "A gap is not shorter than nothing.")


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """Something that takes place from `starts` to `ends`.

    Both are days (an all-day span; `ends` is the day after the last one), or both are moments in UTC, to be shown as
    clock times of `zone`. `sequence` rises with every change of time or status; `revised_at` is the moment, in UTC, of
    the last change of anything. Raises ValueError for what no calendar could show truly: an end that is not after the
    start, days mixed with moments, moments that are not UTC (a clock time may be skipped or doubled in its zone).
    Source: RFC 5545 sections 3.3.5, 3.6.1, 3.8.2.2, 3.8.4.7 and 3.8.7.4.
    """

    uid: str
    sequence: int
    revised_at: datetime
    starts: date | datetime
    ends: date | datetime
    summary: str
    description: str = ""
    place: str = ""
    web_address: str = ""
    zone: str = "Europe/London"
    is_tentative: bool = False
    takes_time: bool = True
    alarm_minutes: int | None = None
    """Before it starts; an all-day event reminds at six the evening before instead."""
    relations: tuple[Relation, ...] = ()

    def __post_init__(self) -> None:
        _need(is_plain(self.uid, MOST_UID_CHARACTERS), "A UID is 1 to 120 visible ASCII characters.")
        _need(not self.web_address or is_plain(self.web_address, MOST_ADDRESS_CHARACTERS), "A web address has no spaces.")
        _need(self.sequence >= 0, "A sequence starts at 0.")
        _need(self.alarm_minutes is None or self.alarm_minutes >= 0, "An alarm comes before the start.")
        _need(_is_utc(self.revised_at), "The moment of revision is in UTC.")
        _need(self.is_all_day == (not isinstance(self.ends, datetime)), "Start and end are both days or both moments.")
        _need(self.is_all_day or (_is_utc(self.starts) and _is_utc(self.ends)), "Moments are in UTC.")
        _need(self.starts < self.ends, "An event ends after it starts.")

    @property
    def is_all_day(self) -> bool:
        """Whether it fills whole days; else it runs from moment to moment."""
        return not isinstance(self.starts, datetime)


def _is_utc(moment: datetime) -> bool:
    return moment.utcoffset() == timedelta(0)


def is_plain(text: str, most: int) -> bool:
    """Whether `text` is 1 to `most` visible ASCII characters."""
    return 0 < len(text) <= most and all("!" <= character <= "~" for character in text)


def _need(is_true: bool, message: str) -> None:
    if not is_true:
        raise ValueError(message)

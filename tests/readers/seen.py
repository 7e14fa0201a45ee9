"""An event as a reader shows it, whoever the reader is."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from jobs.calendars.text import clean
from jobs.core.events import CalendarEvent

LONDON = ZoneInfo("Europe/London")


@dataclass(frozen=True, order=True)
class Seen:
    """`starts` and `ends`: a day, or a moment in UTC and on London's clocks (`in_words`)."""

    uid: str
    sequence: int
    starts: str
    ends: str
    summary: str
    status: str
    place: str = ""


def in_words(when: date | datetime) -> str:
    """Such as 2027-03-28, or 2027-10-31T01:30Z = 2027-10-31 01:30; an hour that is shown twice differs in its UTC."""
    if not isinstance(when, datetime):
        return when.isoformat()
    return f"{when.astimezone(UTC):%Y-%m-%dT%H:%MZ} = {when.astimezone(LONDON):%Y-%m-%d %H:%M}"


def clock_time(words: str) -> str:
    """The day and time on London's clocks, of a moment in words; a day is as it was."""
    return words.split(" = ")[-1]


def meant_by(event: CalendarEvent) -> Seen:
    """What a reader should show."""
    return Seen(
        uid=event.uid, sequence=event.sequence, starts=in_words(event.starts), ends=in_words(event.ends),
        summary=clean(event.summary), status="TENTATIVE" if event.is_tentative else "CONFIRMED", place=clean(event.place),
    )

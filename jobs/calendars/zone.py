"""The one time zone we describe. Every other moment is written in UTC, which needs no description."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

LONDON = ZoneInfo("Europe/London")
FIRST_YEAR_DESCRIBED = 1997

LONDON_TEXT = "\r\n".join(
    (
        "BEGIN:VTIMEZONE",
        "TZID:Europe/London",
        "BEGIN:DAYLIGHT",
        "DTSTART:19810329T010000",
        "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU",
        "TZOFFSETFROM:+0000",
        "TZOFFSETTO:+0100",
        "TZNAME:BST",
        "END:DAYLIGHT",
        "BEGIN:STANDARD",
        "DTSTART:19961027T020000",
        "RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU",
        "TZOFFSETFROM:+0100",
        "TZOFFSETTO:+0000",
        "TZNAME:GMT",
        "END:STANDARD",
        "END:VTIMEZONE",
        "",
    )
)
"""Two yearly rules, since some readers take only the first of several listed onsets (RFC 5545 section 3.6.5)."""


def as_written(starts: datetime, ends: datetime, zone: str) -> tuple[datetime, datetime]:
    """Both moments as London clock times if `zone` is London and both are unmistakable there, else both in UTC.

    A clock time that an autumn night shows twice means the first one (RFC 5545 section 3.3.5), but not every reader
    knows; and some work out a wrong length when the two ends are written differently.
    """
    local = starts.astimezone(LONDON), ends.astimezone(LONDON)
    is_described = zone == LONDON.key and all(when.year >= FIRST_YEAR_DESCRIBED and _is_once(when) for when in local)
    return local if is_described else (starts.astimezone(UTC), ends.astimezone(UTC))


def _is_once(when: datetime) -> bool:
    """Whether the clock shows this time only once."""
    return when.replace(fold=0).utcoffset() == when.replace(fold=1).utcoffset()

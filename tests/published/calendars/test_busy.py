"""Busy half days against the recurrence examples of RFC 5545 section 3.8.5.3, and calendars that other programs wrote.

The dates of each example are those the RFC prints beside its rule (typed in from memory of the RFC's text).
"""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.calendars.busy import Busy, UnreadableCalendarError, Window, read_busy
from jobs.core.stages import Half

NEW_YORK, LONDON = ZoneInfo("America/New_York"), ZoneInfo("Europe/London")
DAY = ((time(8), time(12)), (time(12, 30), time(16, 30)))
FILES = sorted(Path(icalendar.__file__).parent.rglob("*.ics"))


def days(year: int, months: dict[int, list[int]]) -> list[date]:
    return [date(year, month, day) for month, found in months.items() for day in found]


EXAMPLES = {
    "every other week on Monday, Wednesday and Friday until 24 December": (
        "DTSTART;TZID=America/New_York:19970901T090000\n"
        "RRULE:FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR",
        days(1997, {9: [1, 3, 5, 15, 17, 19, 29], 10: [1, 3, 13, 15, 17, 27, 29, 31], 11: [10, 12, 14, 24, 26, 28],
                    12: [8, 10, 12, 22]}),
    ),
    "every Friday the 13th, but not the first": (
        "DTSTART;TZID=America/New_York:19970902T090000\nEXDATE;TZID=America/New_York:19970902T090000\n"
        "RRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13",
        [date(1998, 2, 13), date(1998, 3, 13), date(1998, 11, 13), date(1999, 8, 13), date(2000, 10, 13)],
    ),
    "the first Friday of the month, ten times": (
        "DTSTART;TZID=America/New_York:19970905T090000\nRRULE:FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        [*days(1997, {9: [5], 10: [3], 11: [7], 12: [5]}), *days(1998, {1: [2], 2: [6], 3: [6], 4: [3], 5: [1], 6: [5]})],
    ),
    "the last work day but one of the month": (
        "DTSTART;TZID=America/New_York:19970929T090000\nRRULE:FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2;COUNT=7",
        [*days(1997, {9: [29], 10: [30], 11: [27], 12: [30]}), *days(1998, {1: [29], 2: [26], 3: [30]})],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("lines", "expected"), EXAMPLES.values(), ids=list(EXAMPLES))
def test_days_are_those_of_the_standard_when_a_rule_repeats(lines, expected):
    body = f"BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\n{lines}\nDURATION:PT1H\nEND:VEVENT\nEND:VCALENDAR\n"
    window = Window(date(1997, 9, 1), date(2000, 12, 31), NEW_YORK, *DAY)
    found = read_busy(body.replace("\n", "\r\n").encode(), window).halves
    assert found == tuple((on, Half.MORNING) for on in expected)


def test_every_calendar_is_read_or_refused_in_words_when_other_programs_wrote_it():
    """Calendars, whole and broken, that the icalendar package ships for its own tests."""
    window = Window(date(2005, 1, 1), date(2006, 6, 30), LONDON, *DAY)
    outcomes = [_outcome(file.read_bytes(), window) for file in FILES]
    assert len(outcomes) > 100
    assert set(outcomes) == {Busy, UnreadableCalendarError}


def _outcome(raw: bytes, window: Window) -> type:
    try:
        return type(read_busy(raw, window))
    except UnreadableCalendarError:
        return UnreadableCalendarError


NEAR_CLOCK_CHANGES = st.one_of(
    st.datetimes(datetime(2027, 3, 26), datetime(2027, 3, 30)), st.datetimes(datetime(2027, 10, 29), datetime(2027, 11, 2))
)


@settings(max_examples=60, deadline=None)
@given(NEAR_CLOCK_CHANGES, st.integers(1, 40 * 60))
def test_halves_are_those_whose_minutes_the_event_holds_when_clocks_change(starts, minutes):
    """Beside a count of single minutes by Python's own zoneinfo."""
    starts = starts.replace(second=0, microsecond=0, tzinfo=UTC)
    ends = starts + timedelta(minutes=minutes)
    body = (
        "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\n"
        f"DTSTART:{starts:%Y%m%dT%H%M%SZ}\nDTEND:{ends:%Y%m%dT%H%M%SZ}\nEND:VEVENT\nEND:VCALENDAR\n"
    )
    window = Window(date(2027, 3, 1), date(2027, 12, 1), LONDON, *DAY)
    found = read_busy(body.replace("\n", "\r\n").encode(), window).halves
    local = [(starts + timedelta(minutes=minute)).astimezone(LONDON) for minute in range(minutes)]
    sessions = list(zip(Half, DAY, strict=True))
    assert set(found) == {
        (at.date(), half) for at in local for half, (opens, closes) in sessions if opens <= at.time() < closes
    }

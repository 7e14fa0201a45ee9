"""Half days taken from somebody else's calendar. Rules after RFC 5545; the clock changes are those of Europe/London."""

from datetime import date, time
from zoneinfo import ZoneInfo

import pytest

from jobs.calendars.busy import Busy, UnreadableCalendarError, Window, read_busy
from jobs.core.stages import Half

AM, PM = Half.MORNING, Half.AFTERNOON
WINDOW = Window(
    date(2027, 1, 1), date(2027, 12, 31), ZoneInfo("Europe/London"), (time(8), time(12)), (time(12, 30), time(16, 30))
)
NEW_YORK = """BEGIN:VTIMEZONE
TZID:Somewhere west
BEGIN:STANDARD
DTSTART:20001029T020000
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
END:STANDARD
END:VTIMEZONE
"""


def calendar(*events: str, more: str = "") -> bytes:
    bodies = "".join(f"BEGIN:VEVENT\nUID:{number}\n{body}\nEND:VEVENT\n" for number, body in enumerate(events))
    return f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//\n{more}{bodies}END:VCALENDAR\n".replace("\n", "\r\n").encode()


def halves(*events: str, more: str = "") -> list:
    return list(read_busy(calendar(*events, more=more), WINDOW).halves)


def test_whole_days_are_taken_when_an_event_has_no_clock_time():
    found = halves("DTSTART;VALUE=DATE:20270308\nDTEND;VALUE=DATE:20270310")
    assert found == [(date(2027, 3, 8), AM), (date(2027, 3, 8), PM), (date(2027, 3, 9), AM), (date(2027, 3, 9), PM)]


def test_one_day_is_taken_when_an_all_day_event_has_no_end():
    assert len(halves("DTSTART;VALUE=DATE:20270308")) == 2


@pytest.mark.parametrize(
    ("starts", "ends", "expected"),
    [
        ("090000", "100000", [AM]), ("130000", "140000", [PM]), ("110000", "140000", [AM, PM]),
        ("120000", "123000", []), ("060000", "080000", []), ("163000", "220000", []), ("000000", "235900", [AM, PM]),
    ],
)  # fmt: skip
def test_halves_are_those_an_event_touches_when_it_has_clock_times(starts, ends, expected):
    found = halves(f"DTSTART:20270308T{starts}\nDTEND:20270308T{ends}")
    assert found == [(date(2027, 3, 8), half) for half in expected]


@pytest.mark.parametrize(
    "line", ["TRANSP:TRANSPARENT", "STATUS:CANCELLED", "X-MICROSOFT-CDO-BUSYSTATUS:FREE", "transp:transparent"]
)
def test_event_is_left_out_when_it_takes_no_time(line):
    assert halves(f"DTSTART;VALUE=DATE:20270308\n{line}") == []


def test_weekly_college_day_keeps_its_half_when_the_clocks_change():
    times = "DTSTART;TZID=Europe/London:20270322T083000\nDTEND;TZID=Europe/London:20270322T113000"
    found = halves(f"{times}\nRRULE:FREQ=WEEKLY;COUNT=3")
    assert found == [(date(2027, 3, 22), AM), (date(2027, 3, 29), AM), (date(2027, 4, 5), AM)]


@pytest.mark.parametrize(("on", "expected"), [("20270115", [AM]), ("20270715", [PM])])
def test_half_follows_the_firms_clock_when_the_event_is_in_universal_time(on, expected):
    """11:40 to 11:55 UTC is before noon in winter; in summer time it is 12:40 to 12:55, in the afternoon's half."""
    assert [half for _, half in halves(f"DTSTART:{on}T114000Z\nDTEND:{on}T115500Z")] == expected


def test_event_is_moved_to_the_firms_clock_when_it_has_a_zone_of_its_own():
    found = halves("DTSTART;TZID=Somewhere west:20270108T030000\nDTEND;TZID=Somewhere west:20270108T040000", more=NEW_YORK)
    assert found == [(date(2027, 1, 8), AM)]


def test_changed_and_dropped_days_count_as_they_are_when_a_series_has_exceptions():
    weekly = "DTSTART:20270301T090000\nDTEND:20270301T100000\nRRULE:FREQ=WEEKLY;COUNT=4\nEXDATE:20270308T090000"
    moved = "DTSTART:20270316T130000\nDTEND:20270316T140000\nRECURRENCE-ID:20270315T090000"
    off = "DTSTART:20270322T090000\nDTEND:20270322T100000\nRECURRENCE-ID:20270322T090000\nSTATUS:CANCELLED"
    raw = calendar(weekly, moved, off).replace(b"UID:1", b"UID:0").replace(b"UID:2", b"UID:0")
    assert read_busy(raw, WINDOW).halves == ((date(2027, 3, 1), AM), (date(2027, 3, 16), PM))


def test_days_outside_the_window_are_left_out_when_a_rule_never_ends():
    found = halves("DTSTART;VALUE=DATE:20200106\nRRULE:FREQ=WEEKLY")
    assert (found[0][0], found[-1][0]) == (date(2027, 1, 4), date(2027, 12, 27))


def test_other_entries_count_when_one_cannot_be_understood():
    found = read_busy(calendar("SUMMARY:no start", "DTSTART;VALUE=DATE:20270308"), WINDOW)
    assert (len(found.halves), found.unread) == (2, 1)


@pytest.mark.parametrize("rule", ["FREQ=SECONDLY", "FREQ=MINUTELY", "FREQ=HOURLY", "FREQ=DAILY;BYMINUTE=0,1,2"])
def test_entry_is_left_out_and_counted_when_it_repeats_within_the_hour(rule):
    assert read_busy(calendar(f"DTSTART:20270308T090000\nRRULE:{rule}"), WINDOW) == Busy((), 1)


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "not a calendar"), (b"<html>Sign in</html>", "not a calendar"), (b"\x89PNG\r\n\x00", "not a calendar"),
        (b"x" * (1024 * 1024 + 1), "larger than 1 MB"), (b"BEGIN:VEVENT\r\nEND:VEVENT\r\n", "not a calendar"),
    ],
)  # fmt: skip
def test_file_is_refused_in_words_when_it_is_no_calendar(raw, words):
    with pytest.raises(UnreadableCalendarError, match=words):
        read_busy(raw, WINDOW)


def test_nothing_but_times_comes_back_when_entries_have_titles():
    found = read_busy(calendar("DTSTART;VALUE=DATE:20270308\nSUMMARY:Private matter"), WINDOW)
    assert "Private" not in repr(found)

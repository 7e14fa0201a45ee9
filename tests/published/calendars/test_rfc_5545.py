"""Examples and rules of RFC 5545 (iCalendar) and RFC 7986, typed by hand; the section stands beside each check."""

from datetime import UTC, date, datetime, timedelta

from icalendar import Calendar, Event

from jobs.calendars.feed import event_text, feed_text
from jobs.calendars.zone import LONDON_TEXT
from jobs.core.events import CalendarEvent

REVISED = datetime(2007, 4, 23, 12, 34, 32, tzinfo=UTC)
HALF_PAST_MIDNIGHT, HALF_PAST_ONE = (datetime(2027, 10, 31, hour, 30, tzinfo=UTC) for hour in (0, 1))


def make_event(**fields: object) -> CalendarEvent:
    sensible = {
        "uid": "20070423T123432Z-541111@example.com", "sequence": 0, "revised_at": REVISED,
        "starts": date(2007, 6, 28), "ends": date(2007, 7, 9), "summary": "Festival International de Jazz de Montreal",
    }
    return CalendarEvent(**sensible | fields)


def lines_of(event: CalendarEvent) -> set[str]:
    return set(event_text(event).replace("\r\n ", "").split("\r\n"))


def test_festival_over_several_days_is_written_as_printed_when_it_takes_no_time():
    """Section 3.6.1, fourth example: 28 June to 8 July inclusive, so DTEND is 9 July."""
    printed = {
        "BEGIN:VEVENT",
        "UID:20070423T123432Z-541111@example.com",
        "DTSTAMP:20070423T123432Z",
        "DTSTART;VALUE=DATE:20070628",
        "DTEND;VALUE=DATE:20070709",
        "SUMMARY:Festival International de Jazz de Montreal",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    }
    assert printed <= lines_of(make_event(takes_time=False))


def test_annual_review_is_written_as_printed_when_times_are_utc():
    """Section 3.6.1, first example (its CLASS and CATEGORIES are not ours to write)."""
    event = make_event(
        uid="19970901T130000Z-123401@example.com",
        revised_at=datetime(1997, 9, 1, 13, tzinfo=UTC),
        starts=datetime(1997, 9, 3, 16, 30, tzinfo=UTC),
        ends=datetime(1997, 9, 3, 19, tzinfo=UTC),
        summary="Annual Employee Review",
        zone="UTC",
    )
    printed = {
        "UID:19970901T130000Z-123401@example.com",
        "DTSTAMP:19970901T130000Z",
        "DTSTART:19970903T163000Z",
        "DTEND:19970903T190000Z",
        "SUMMARY:Annual Employee Review",
    }
    assert printed <= lines_of(event)


def test_line_breaks_and_commas_are_escaped_as_printed_when_text_has_them():
    """Section 3.3.11: three lines are carried by one content line; sections 3.8.1.7 and 3.8.1.5 print such values."""
    words = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    event = make_event(description=words, place="Room 3B, upstairs; left")
    lines = lines_of(event)
    assert "DESCRIPTION:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared." in lines
    assert "LOCATION:Room 3B\\, upstairs\\; left" in lines


def test_long_line_is_folded_with_one_space_when_over_75_octets():
    """Section 3.1: CRLF and one space may be removed again, and what is left is the line."""
    long = "This is a long description that exists on a long line. " * 3
    folded = event_text(make_event(description=long))
    assert all(len(line.encode()) <= 75 for line in folded.split("\r\n"))
    assert f"DESCRIPTION:{long}" in folded.replace("\r\n ", "")


def test_repeated_clock_time_is_written_in_utc_when_the_clocks_go_back():
    """Section 3.3.5: a local time that occurs more than once refers to the first; form 2, in UTC, leaves no doubt."""
    for moment in (HALF_PAST_MIDNIGHT, HALF_PAST_ONE):
        event = make_event(starts=moment, ends=moment + timedelta(minutes=15))
        assert f"DTSTART:{moment:%Y%m%dT%H%M%SZ}" in lines_of(event)


def test_a_zone_is_described_whenever_a_time_names_it():
    """Sections 3.2.19 and 3.6.5: an individual VTIMEZONE for each TZID that is used."""
    event = make_event(starts=datetime(2027, 7, 1, 7, tzinfo=UTC), ends=datetime(2027, 7, 1, 11, tzinfo=UTC))
    calendar = Calendar.from_ical(feed_text("Asha", [event_text(event)]))
    (zone,) = calendar.walk("VTIMEZONE")
    assert zone["TZID"] == calendar.walk("VEVENT")[0]["DTSTART"].params["TZID"] == "Europe/London"


def test_each_change_of_offset_says_where_it_comes_from_and_goes_to():
    """Section 3.6.5: STANDARD and DAYLIGHT each carry DTSTART, TZOFFSETTO and TZOFFSETFROM; onsets in the old offset."""
    needed = ("DTSTART:", "TZOFFSETFROM:", "TZOFFSETTO:")
    assert [LONDON_TEXT.count(name) for name in needed] == [2, 2, 2]


def test_event_carries_what_it_must_when_no_method_is_given():
    """Section 3.6.1: DTSTAMP, UID and, without METHOD, DTSTART, each exactly once; also never DURATION beside DTEND."""
    event = Event.from_ical(event_text(make_event()))
    assert all(not isinstance(event[name], list) for name in ("DTSTAMP", "UID", "DTSTART", "DTEND"))
    assert "DURATION" not in event


def test_calendar_carries_product_and_version_once():
    """Sections 3.7.3 and 3.7.4: PRODID and VERSION 2.0, once each; 3.7.2: no METHOD, so no scheduling."""
    calendar = Calendar.from_ical(feed_text("Asha", []))
    assert (calendar["VERSION"], "PRODID" in calendar, "METHOD" in calendar) == ("2.0", True, False)


def test_refresh_interval_names_its_value_type():
    """RFC 7986 section 5.7 prints REFRESH-INTERVAL;VALUE=DURATION:P1W; the parameter is required."""
    assert "\r\nREFRESH-INTERVAL;VALUE=DURATION:PT" in feed_text("Asha", [])

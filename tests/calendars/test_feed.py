import re
from datetime import UTC, date, datetime, timedelta

import recurring_ical_events
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from jobs.calendars.feed import event_text, feed_text
from jobs.calendars.text import clean
from jobs.core.events import CalendarEvent

REVISED = datetime(2027, 1, 12, 9, 30, 15, 250_000, tzinfo=UTC)
EIGHT = datetime(2027, 1, 13, 8, tzinfo=UTC)
NOON = datetime(2027, 1, 13, 12, tzinfo=UTC)

ANY_TEXT = st.text(st.characters(codec=None), max_size=200).map(lambda text: text.replace("\\N", ""))
"""Any characters at all, lone surrogates too; icalendar itself reads a literal backslash-N as a line break."""


def make_event(**fields: object) -> CalendarEvent:
    sensible = {
        "uid": "11aa", "sequence": 3, "revised_at": REVISED, "starts": EIGHT, "ends": NOON, "summary": "Mill Row: first fix",
    }
    return CalendarEvent(**sensible | fields)


def lines_of(*events: CalendarEvent, name: str = "Asha") -> list[str]:
    return feed_text(name, map(event_text, events)).split("\r\n")


def read_back(*events: CalendarEvent, name: str = "Asha") -> Calendar:
    return Calendar.from_ical(feed_text(name, map(event_text, events)))


def unescaped(text: str) -> str:
    """RFC 5545 section 3.3.11, read the other way: icalendar hands these two properties over as they were written."""
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], text)


def test_feed_asks_nobody_anything_when_subscribed_to():
    assert not any(line.startswith(("METHOD", "ATTENDEE", "ORGANIZER")) for line in lines_of(make_event()))


def test_same_event_gives_the_same_text_when_written_twice():
    event = make_event()
    assert feed_text("Asha", [event_text(event)]) == feed_text("Asha", [event_text.__wrapped__(event)])


def test_stamp_is_the_last_revision_when_nothing_is_sent_by_mail():
    lines = lines_of(make_event())
    assert "DTSTAMP:20270112T093015Z" in lines
    assert "LAST-MODIFIED:20270112T093015Z" in lines


def test_identity_is_kept_when_the_event_is_written():
    lines = lines_of(make_event())
    assert "UID:11aa" in lines
    assert "SEQUENCE:3" in lines


def test_half_day_is_timed_to_the_minute_when_written():
    afternoon = [datetime(2027, 7, 1, hour, 30, tzinfo=UTC) for hour in (11, 15)]
    lines = lines_of(make_event(starts=afternoon[0], ends=afternoon[1]))
    assert "DTSTART;TZID=Europe/London:20270701T123000" in lines
    assert "DTEND;TZID=Europe/London:20270701T163000" in lines


def test_all_day_span_ends_the_day_after_when_written():
    lines = lines_of(make_event(starts=date(2027, 1, 28), ends=date(2027, 1, 31)))
    assert "DTSTART;VALUE=DATE:20270128" in lines
    assert "DTEND;VALUE=DATE:20270131" in lines


def test_pencilled_event_is_tentative_in_both_vocabularies_when_written():
    lines = lines_of(make_event(is_tentative=True))
    assert {"STATUS:TENTATIVE", "TRANSP:OPAQUE", "X-MICROSOFT-CDO-BUSYSTATUS:TENTATIVE"} <= set(lines)


def test_settled_event_is_confirmed_and_busy_when_written():
    assert {"STATUS:CONFIRMED", "TRANSP:OPAQUE", "X-MICROSOFT-CDO-BUSYSTATUS:BUSY"} <= set(lines_of(make_event()))


def test_event_leaves_the_reader_free_when_it_takes_no_time_of_theirs():
    lines = set(lines_of(make_event(takes_time=False)))
    assert {"TRANSP:TRANSPARENT", "X-MICROSOFT-CDO-BUSYSTATUS:FREE"} <= lines


def test_name_is_escaped_in_both_forms_when_it_holds_commas_and_breaks():
    lines = lines_of(name="Asha, Ben; crew\r\nX-MINE:1")
    assert "NAME:Asha\\, Ben\\; crew\\nX-MINE:1" in lines
    assert "X-WR-CALNAME:Asha\\, Ben\\; crew\\nX-MINE:1" in lines


def test_refresh_interval_carries_its_value_type_when_written():
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT1H" in lines_of()


def test_zone_is_described_once_when_many_events_use_it():
    assert lines_of(make_event(), make_event(uid="22bb")).count("BEGIN:VTIMEZONE") == 1


def test_no_empty_words_are_written_when_an_event_has_none():
    assert not any(line.startswith(("DESCRIPTION", "LOCATION", "URL")) for line in lines_of(make_event(description="\x00")))


def test_link_is_written_when_an_event_has_one():
    assert "URL:https://firm.example/t/" in lines_of(make_event(web_address="https://firm.example/t/"))


@given(summary=ANY_TEXT, description=ANY_TEXT, place=ANY_TEXT, name=ANY_TEXT)
@settings(deadline=None, max_examples=150)
def test_any_text_reads_back_as_cleaned_when_written(summary, description, place, name):
    calendar = read_back(make_event(summary=summary, description=description, place=place), name=name)
    (event,) = calendar.walk("VEVENT")
    written = [str(event.get(field, "")) for field in ("SUMMARY", "DESCRIPTION", "LOCATION")]
    assert written == [clean(text) for text in (summary, description, place)]
    assert unescaped(calendar["NAME"]) == unescaped(calendar["X-WR-CALNAME"]) == clean(name)


@given(text=ANY_TEXT)
@settings(deadline=None, max_examples=100)
def test_no_text_adds_a_line_of_its_own_when_written(text):
    plain, filled = lines_of(make_event(summary="x")), lines_of(make_event(summary=text), name=text)
    assert [_property(line) for line in filled if not line.startswith(" ")] == [_property(line) for line in plain]


@given(text=ANY_TEXT)
@settings(deadline=None, max_examples=100)
def test_no_line_is_longer_than_75_octets_when_text_is_long(text):
    assert all(len(line.encode()) <= 75 for line in lines_of(make_event(summary=text * 5), name=text * 5))


DAYS_NEAR_THE_CLOCK_CHANGES = st.one_of(
    st.dates(date(2026, 1, 1), date(2040, 12, 31)),
    st.builds(
        lambda change, hours: change + timedelta(hours=hours),
        st.sampled_from([datetime(*day, tzinfo=UTC) for day in ((2027, 3, 28), (2027, 10, 31), (2038, 3, 28))]),
        st.integers(-30, 30),
    ),
)


@given(day=DAYS_NEAR_THE_CLOCK_CHANGES, minutes=st.integers(0, 24 * 60 - 1), length=st.integers(1, 16 * 60))
@settings(deadline=None, max_examples=150)
def test_expanded_times_equal_ours_when_days_lie_near_the_clock_changes(day, minutes, length):
    """Reference reader: recurring-ical-events, which expands a calendar as end users' readers do."""
    starts = datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(minutes=minutes)
    event = make_event(starts=starts, ends=starts + timedelta(minutes=length))
    (shown,) = recurring_ical_events.of(read_back(event)).between(starts - timedelta(days=2), starts + timedelta(days=3))
    assert (shown.start.astimezone(UTC), shown.end.astimezone(UTC)) == (event.starts, event.ends)


def _property(line: str) -> str:
    return line.split(":")[0].split(";")[0]

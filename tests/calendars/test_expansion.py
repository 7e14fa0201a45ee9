"""Any timed or all-day events, most of them around the clock changes, read back by recurring-ical-events as they were meant."""

from datetime import UTC, date, datetime, timedelta

import recurring_ical_events
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from jobs.calendars.feed import event_text, feed_text
from jobs.core.events import CalendarEvent

CHANGES = [date(2026, 10, 25), date(2027, 3, 28), date(2027, 10, 31), date(2028, 3, 26)]
"""Last Sundays of October and March."""

near_changes = st.builds(lambda on, days: on + timedelta(days=days), st.sampled_from(CHANGES), st.integers(-2, 2))
days = st.one_of(near_changes, near_changes, st.dates(date(2026, 9, 1), date(2028, 5, 1)))
moments = st.builds(
    lambda on, minutes: datetime(on.year, on.month, on.day, tzinfo=UTC) + timedelta(minutes=5 * minutes),
    days, st.integers(0, 287),
)
lengths = st.integers(1, 288)
timed = st.builds(lambda starts, length: (starts, starts + timedelta(minutes=5 * length)), moments, lengths)
whole = st.builds(lambda starts, length: (starts, starts + timedelta(days=length)), days, st.integers(1, 9))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.one_of(timed, whole), max_size=6))
def test_every_event_reads_back_as_it_was_meant_when_clocks_change(spans):
    events = [
        CalendarEvent(uid=f"event-{number}", sequence=0, revised_at=datetime(2026, 1, 1, tzinfo=UTC), starts=starts, ends=ends,
                      summary="Work")
        for number, (starts, ends) in enumerate(spans)
    ]
    calendar = Calendar.from_ical(feed_text("Work", map(event_text, events)))
    read = recurring_ical_events.of(calendar).between(date(2026, 8, 1), date(2028, 6, 1))
    assert {str(event["UID"]): (in_utc(event.start), in_utc(event.end)) for event in read} == {
        event.uid: (event.starts, event.ends) for event in events
    }


def in_utc(when: date | datetime) -> date | datetime:
    """Clock times that an autumn night shows twice equal nothing in another zone, so both sides are compared in UTC."""
    return when.astimezone(UTC) if isinstance(when, datetime) else when

"""Thousands of mails and calendars from strangers: each is read as far as it can be, nothing else happens."""

from datetime import date, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import strategies as st

from jobs.calendars.busy import UnreadableCalendarError, Window, read_busy
from jobs.calendars.replies import read_mail
from tests.incoming import MAILS, read_template
from tests.nonsense import TEXTS, check_many, told_in_words

FILES = sorted(MAILS.glob("*.eml"))
WINDOW = Window(date(2027, 1, 4), date(2027, 3, 1), ZoneInfo("Europe/London"), (time(8), time(12)), (time(12, 30), time(16, 30)))
CALENDAR = b"""BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//elsewhere//EN
BEGIN:VEVENT
UID:1@elsewhere.example
DTSTAMP:20270101T090000Z
DTSTART;TZID=Europe/London:20270112T090000
DTEND;TZID=Europe/London:20270112T150000
RRULE:FREQ=WEEKLY;COUNT=3
SUMMARY:College
END:VEVENT
END:VCALENDAR
""".replace(b"\n", b"\r\n")


@st.composite
def altered(draw: st.DrawFn, text: bytes) -> bytes:
    """Lines left out, doubled, changed after their colon, or replaced; now and then cut off."""
    lines = text.split(b"\r\n")
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(lines) - 1))
        name, mark, _rest = lines[place].partition(b":")
        words = draw(TEXTS).encode("utf-8", "replace")
        lines[place : place + 1] = draw(
            st.sampled_from([[], [lines[place]] * 2, [name + mark + words], [words], [lines[place][:20]]])
        ) or [b""]
    data = b"\r\n".join(lines)
    return data[: draw(st.integers(0, len(data)))] if draw(st.booleans()) else data


def is_read(raw: bytes) -> None:
    mail = read_mail(raw)
    assert mail.message_id
    assert mail == read_mail(raw)


@pytest.mark.parametrize("mail", FILES, ids=lambda mail: mail.stem)
def test_mail_is_read_as_far_as_it_can_be_when_it_is_nonsense(pytestconfig: pytest.Config, mail: Path) -> None:
    check_many(pytestconfig, altered(read_template(mail.stem)), is_read, times=1)


def is_understood_or_refused(raw: bytes) -> None:
    try:
        found = read_busy(raw, WINDOW)
    except UnreadableCalendarError as refused:
        told_in_words(refused)
    else:
        assert all(WINDOW.first_on <= on <= WINDOW.last_on for on, _ in found.halves)


def test_calendar_is_understood_or_refused_in_words_when_it_is_nonsense(pytestconfig: pytest.Config) -> None:
    check_many(pytestconfig, altered(CALENDAR), is_understood_or_refused, times=2)

"""Sundays and bank holidays of England as gov.uk/bank-holidays lists them: Good Friday 26 and Easter Monday 29 March 2027."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from jobs.core.quiet import QuietHours

LONDON = ZoneInfo("Europe/London")
NIGHTS = QuietHours(time(19), time(7), has_quiet_days=True, region="ENG", zone=LONDON)


def at(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2027, month, day, hour, minute, tzinfo=LONDON)


def test_message_leaves_at_once_when_it_is_daytime():
    assert NIGHTS.leaves_at(at(1, 12, 9, 30)) == at(1, 12, 9, 30)


@pytest.mark.parametrize(
    ("made", "leaves"),
    [
        (at(1, 12, 19), at(1, 13, 7)),
        (at(1, 12, 6, 59), at(1, 12, 7)),
        (at(1, 15, 20), at(1, 16, 7)),  # Friday night: Saturday is no quiet day
        (at(1, 16, 20), at(1, 18, 7)),  # Saturday night: past Sunday
        (at(1, 17, 12), at(1, 18, 7)),  # Sunday noon
        (at(3, 28, 12), at(3, 30, 7)),  # Easter Sunday, on which clocks go forward: past Easter Monday
    ],
)
def test_message_waits_for_the_end_when_it_is_quiet(made, leaves):
    assert NIGHTS.leaves_at(made, about=date(2027, 6, 1)) == leaves


def test_message_leaves_at_once_when_it_is_about_tomorrow_morning():
    assert NIGHTS.leaves_at(at(1, 12, 22), about=date(2027, 1, 13)) == at(1, 12, 22)


def test_message_leaves_at_once_when_waiting_over_sunday_would_be_too_late():
    assert NIGHTS.leaves_at(at(1, 16, 20), about=date(2027, 1, 18)) == at(1, 16, 20)


def test_message_waits_when_it_is_about_the_day_after_the_quiet_ends():
    assert NIGHTS.leaves_at(at(1, 12, 22), about=date(2027, 1, 14)) == at(1, 13, 7)


def test_moment_keeps_its_zone_when_it_was_given_in_utc():
    leaves = NIGHTS.leaves_at(datetime(2027, 6, 1, 20, tzinfo=UTC))
    assert (leaves, leaves.tzinfo) == (datetime(2027, 6, 2, 6, tzinfo=UTC), UTC)


def test_nothing_is_quiet_when_both_times_are_the_same_and_no_day_is():
    always = QuietHours(time(7), time(7), has_quiet_days=False, region="ENG", zone=LONDON)
    assert always.leaves_at(at(1, 17, 3)) == at(1, 17, 3)


def test_quiet_day_ends_at_midnight_when_there_are_no_quiet_hours():
    sundays = QuietHours(time(7), time(7), has_quiet_days=True, region="ENG", zone=LONDON)
    assert sundays.leaves_at(at(1, 17, 3)) == at(1, 18, 0)


def test_hours_within_a_day_are_quiet_when_the_end_is_later_than_the_start():
    noon = QuietHours(time(12), time(13), has_quiet_days=False, region="ENG", zone=LONDON)
    assert noon.leaves_at(at(1, 12, 12, 30)) == at(1, 12, 13)

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Timezone

from jobs.calendars.zone import LONDON_TEXT, as_written

LONDON = "Europe/London"


def test_described_zone_agrees_with_the_time_zone_database_when_sampled_over_sixty_years():
    """Reference: the IANA time zone database, read through zoneinfo."""
    described, known = Timezone.from_ical(LONDON_TEXT).to_tz(), ZoneInfo(LONDON)
    samples = [datetime(1998, 1, 1, 12) + timedelta(days=day) for day in range(0, 22_600, 7)]
    assert [s for s in samples if s.replace(tzinfo=described).utcoffset() != s.replace(tzinfo=known).utcoffset()] == []


def written(starts: datetime, hours: float = 0.25, zone: str = LONDON) -> list[str]:
    return [when.isoformat() for when in as_written(starts, starts + timedelta(hours=hours), zone)]


def test_moments_are_london_clock_times_when_the_firm_is_in_london():
    assert written(datetime(2027, 7, 1, 7, tzinfo=UTC)) == ["2027-07-01T08:00:00+01:00", "2027-07-01T08:15:00+01:00"]


def test_moments_stay_utc_when_the_firm_is_elsewhere():
    assert written(datetime(2027, 7, 1, 7, tzinfo=UTC), zone="Europe/Dublin")[0] == "2027-07-01T07:00:00+00:00"


@pytest.mark.parametrize(("starts", "hours"), [((31, 0, 30), 0.25), ((31, 1, 30), 0.25), ((31, 0, 30), 1), ((30, 23, 30), 1)])
def test_both_ends_stay_utc_when_one_lies_in_the_hour_shown_twice(starts, hours):
    """ical.js 2.2.1 takes such a clock time for the second, whichever is meant."""
    starts = datetime(2027, 10, *starts, tzinfo=UTC)
    assert [when.tzinfo for when in as_written(starts, starts + timedelta(hours=hours), LONDON)] == [UTC, UTC]


def test_moments_are_clock_times_again_when_the_hour_shown_twice_is_over():
    assert written(datetime(2027, 10, 31, 2, tzinfo=UTC))[0] == "2027-10-31T02:00:00+00:00"


def test_moments_stay_utc_when_they_are_older_than_the_described_zone():
    assert written(datetime(1990, 7, 1, tzinfo=UTC))[0] == "1990-07-01T00:00:00+00:00"

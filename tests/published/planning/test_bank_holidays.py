"""Bank holidays of England and Wales 2026 to 2028.

Substitute days as published by the government of the United Kingdom; Good Friday and Easter Monday from Easter
Sunday on 5 April 2026, 28 March 2027 and 16 April 2028 (anonymous Gregorian calculation).
"""

from datetime import date

import pytest

from jobs.core.workdays import Calendar, days_between

WEEKDAYS_OFF = {
    2026: ["1 1", "4 3", "4 6", "5 4", "5 25", "8 31", "12 25", "12 28"],
    2027: ["1 1", "3 26", "3 29", "5 3", "5 31", "8 30", "12 27", "12 28"],
    2028: ["1 3", "4 14", "4 17", "5 1", "5 29", "8 28", "12 25", "12 26"],
}


@pytest.mark.parametrize("year", WEEKDAYS_OFF)
def test_weekdays_off_are_those_published_when_a_year_is_looked_through(year: int) -> None:
    calendar = Calendar("ENG")
    resting = [day for day in days_between(date(year, 1, 1), date(year, 12, 31)) if not calendar.is_working(day)]
    assert [f"{day.month} {day.day}" for day in resting if day.weekday() < 5] == WEEKDAYS_OFF[year]

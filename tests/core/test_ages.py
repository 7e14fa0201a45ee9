from datetime import date

import pytest

from jobs.core.ages import age_on, is_under_18


@pytest.mark.parametrize(
    "born_on, day, age",
    [
        (date(2009, 1, 12), date(2027, 1, 11), 17),
        (date(2009, 1, 12), date(2027, 1, 12), 18),
        (date(2008, 2, 29), date(2026, 2, 28), 17),
        (date(2008, 2, 29), date(2026, 3, 1), 18),
    ],
)
def test_age_counts_full_years_when_birthdays_are_near(born_on, day, age):
    assert age_on(born_on, day) == age


def test_someone_is_under_18_until_the_day_before_their_birthday():
    assert is_under_18(date(2009, 1, 13), date(2027, 1, 12))


def test_someone_counts_as_grown_up_when_the_birthday_is_unknown():
    assert not is_under_18(None, date(2027, 1, 12))

"""Plaster waits against a calendar.

Bank holidays of England and Wales: gov.uk/bank-holidays, from memory; Easter by the usual calculation. A wait is so many
elapsed days, then the next working day (common practice, no source).
"""

from datetime import date

import pytest

from jobs.core.drying import Air, DryingRule, drying_days
from jobs.core.workdays import Calendar, add_elapsed


@pytest.mark.parametrize(
    ("plastered_on", "days", "dry"),
    [
        (date(2026, 12, 18), 7, date(2026, 12, 29)),  # Christmas Day, a weekend, the substitute Boxing Day
        (date(2027, 3, 12), 14, date(2027, 3, 30)),  # Good Friday to Easter Monday
        (date(2028, 4, 3), 28, date(2028, 5, 2)),  # Early May bank holiday
    ],
)
def test_second_fix_waits_for_the_next_working_day_when_plaster_dries_on_a_holiday(plastered_on, days, dry):
    assert add_elapsed(Calendar(), plastered_on, days) == dry


@pytest.mark.parametrize(("air", "days"), [(Air.WARM, 13), (Air.COOL, 20), (Air.COLD, 26)])
def test_a_millimetre_dries_in_a_day_when_warm_and_ventilated(air, days):
    """1 day a millimetre, 1.5 and 2 times as long in cool and cold air (common practice, no source)."""
    assert drying_days(DryingRule(minimum_days=3, days_per_mm=1), 13, air) == days

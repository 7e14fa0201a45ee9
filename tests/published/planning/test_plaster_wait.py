"""Drying in calendar days, then the next working day.

The dates were worked out by hand from the bank holidays of England and Wales 2026 to 2028 (substitute days as
published by the government; Easter from the calculation of Easter Sunday: 28 March 2027).
"""

from datetime import date, timedelta

import pytest

from jobs.core.planning import quick_plan
from jobs.core.workdays import Calendar, sessions_between
from tests.core.planning.cast import after, package, problem, visit

WAITS = [
    (date(2026, 12, 18), 7, date(2026, 12, 29)),
    (date(2027, 3, 12), 14, date(2027, 3, 30)),
    (date(2028, 4, 3), 28, date(2028, 5, 2)),
]


@pytest.mark.parametrize(("plastered_on", "days", "dry_on"), WAITS)
def test_second_fix_waits_for_dry_plaster_when_planned(plastered_on: date, days: int, dry_on: date) -> None:
    weeks = sessions_between(Calendar(), plastered_on, plastered_on + timedelta(days=60))
    house = problem(visit(length=2), package(), links=(after("plaster", "fix", lag_days=days),), sessions=weeks)
    assert weeks[quick_plan(house).spans["fix"].first].on == dry_on

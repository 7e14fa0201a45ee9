"""Deadlines against their published figures.

Sources: Building Regulations 2010 (S.I. 2010/2214) regulation 20 (certificate within 30 days) and regulation 16 (two
clear days' notice), read in excerpts; completion notice within five days as a local authority tells it. The dates are
counted by hand from those figures.
"""

from datetime import date

import pytest

from jobs.core.deadlines import Deadline, JobDates, Kind, Route, deadlines_of
from jobs.core.workdays import Calendar


def test_certificate_is_due_on_31_december_when_work_is_complete_on_1_december():
    found = deadlines_of(JobDates(Route.SCHEME, "ENG", finishes_on=date(2026, 12, 1)), Calendar())
    assert found == [Deadline(Kind.CERTIFICATE, date(2026, 12, 31))]


@pytest.mark.parametrize(
    ("finishes_on", "due_on"),
    [(date(2027, 1, 31), date(2027, 3, 2)), (date(2028, 2, 1), date(2028, 3, 2)), (date(2027, 12, 15), date(2028, 1, 14))],
)
def test_thirty_days_are_calendar_days_when_months_differ(finishes_on, due_on):
    found = deadlines_of(JobDates(Route.SCHEME, "ENG", finishes_on=finishes_on), Calendar())
    assert [each.due_on for each in found] == [due_on]


def test_building_notice_leaves_two_clear_days_and_completion_five_when_that_route_is_taken():
    """Start Thursday 3 December 2026: Tuesday and Wednesday are clear, so Monday is the last day."""
    dates = JobDates(Route.NOTICE, "ENG", starts_on=date(2026, 12, 3), finishes_on=date(2026, 12, 18))
    found = {each.kind: each.due_on for each in deadlines_of(dates, Calendar())}
    assert found == {Kind.BUILDING_NOTICE: date(2026, 11, 30), Kind.COMPLETION_NOTICE: date(2026, 12, 23)}

from datetime import date

import pytest

from jobs.core.deadlines import RULES, JobDates, Kind, Route, deadlines_of, last_day_for_notice
from jobs.core.workdays import Calendar

ENGLAND = Calendar()
STARTS_ON, FINISHES_ON = date(2027, 1, 18), date(2027, 2, 12)


def found(route: Route = Route.SCHEME, region: str = "ENG", **dates: object) -> dict[Kind, date]:
    dates = {"starts_on": STARTS_ON, "finishes_on": FINISHES_ON} | dates
    return {each.kind: each.due_on for each in deadlines_of(JobDates(route, region, **dates), ENGLAND)}


def test_only_the_certificate_is_due_when_a_scheme_notifies():
    assert list(found()) == [Kind.CERTIFICATE]


def test_start_and_completion_are_told_when_a_building_notice_was_chosen():
    assert list(found(Route.NOTICE)) == [Kind.BUILDING_NOTICE, Kind.COMPLETION_NOTICE]


@pytest.mark.parametrize(
    ("route", "region"), [(Route.LOCAL, "ENG"), (Route.SCHEME, "SCT"), (Route.NOTICE, "WLS"), (Route.SCHEME, "NIR")]
)
def test_local_rules_are_deferred_to_when_those_of_england_do_not_apply(route, region):
    assert found(route, region) == {Kind.LOCAL_RULES: STARTS_ON}


@pytest.mark.parametrize("region", ["ENG", "SCT"])
def test_operator_is_asked_its_lead_ahead_when_an_isolator_visit_is_planned(region):
    dates = found(region=region, isolator_on=date(2027, 3, 1), operator_lead_days=28)
    assert dates[Kind.OPERATOR_REQUEST] == date(2027, 2, 1)


def test_notice_of_asbestos_is_due_when_a_licence_is_needed():
    assert found(has_licensed_asbestos=True)[Kind.ASBESTOS_NOTICE] == date(2027, 1, 4)
    assert found(has_licensed_asbestos=True, asbestos_on=date(2027, 1, 15))[Kind.ASBESTOS_NOTICE] == date(2027, 1, 1)


def test_nothing_is_due_when_no_day_is_known():
    assert found(Route.NOTICE, starts_on=None, finishes_on=None, has_licensed_asbestos=True) == {}


@pytest.mark.parametrize(
    ("starts_on", "notice_on"),
    [
        (date(2027, 1, 14), date(2027, 1, 11)),  # Thursday: Tuesday and Wednesday are clear
        (date(2027, 1, 18), date(2027, 1, 13)),  # Monday: Thursday and Friday, not the week-end
        (date(2027, 3, 31), date(2027, 3, 24)),  # Wednesday after Easter: Tuesday and Thursday before Good Friday
    ],
)
def test_two_whole_working_days_lie_between_when_a_notice_is_given_at_the_last(starts_on, notice_on):
    assert last_day_for_notice(starts_on, 2, ENGLAND) == notice_on


def test_every_kind_says_its_figure_and_source():
    assert set(RULES) == set(Kind)
    assert all(rule.words and rule.source and rule.mark for rule in RULES.values())

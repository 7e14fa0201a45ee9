"""The crew as the planner sees them."""

from datetime import date, timedelta

import pytest

from jobs.core.stages import Half
from jobs.core.workdays import Session
from jobs.models import Absence, DayRelease
from jobs.queries.planning import load_problem
from tests.factories import TODAY, make_person

pytestmark = pytest.mark.django_db


def only_person(firm):
    (person,) = load_problem(firm, TODAY).people
    return person


def away_words(firm) -> list[str]:
    problem = load_problem(firm, TODAY)
    return [f"{problem.sessions[number]}: {words}" for number, words in sorted(problem.people[0].away.items())]


def test_person_who_left_is_not_planned(firm):
    make_person(firm, is_active=False)
    assert load_problem(firm, TODAY).people == ()


def test_morning_off_takes_one_session(firm):
    Absence.objects.create(firm=firm, person=make_person(firm), kind="sick", starts_on=TODAY, ends_on=TODAY, part="am")
    assert away_words(firm) == ["Tue 12 Jan am: sick"]


def test_absence_that_began_long_ago_still_counts(firm):
    Absence.objects.create(
        firm=firm, person=make_person(firm), starts_on=TODAY - timedelta(days=90), ends_on=TODAY, part="all"
    )
    assert away_words(firm)[-1] == "Tue 12 Jan pm: holiday"


def test_college_day_takes_both_sessions_of_its_weekday(firm):
    make_release(firm, make_person(firm, grade="apprentice"), until=TODAY + timedelta(days=7))
    assert away_words(firm) == [
        "Wed 13 Jan am: college", "Wed 13 Jan pm: college"
    ]


def make_release(firm, person, until: date) -> None:
    DayRelease.objects.create(firm=firm, person=person, weekday=2, starts_on=TODAY, ends_on=until)


@pytest.mark.parametrize(
    "born_on, is_young",
    [(date(2009, 1, 13), True), (date(2009, 1, 12), False), (None, False)],
    ids=["18 tomorrow", "18 today", "unknown"],
)
def test_age_is_reckoned_on_the_day(firm, born_on, is_young):
    make_person(firm, born_on=born_on)
    assert only_person(firm).is_under_18 is is_young


def test_part_timer_is_held_to_their_week(firm):
    make_person(firm, hours_per_week=24)
    assert only_person(firm).weekly_hours_limit == 24


def test_full_timer_has_no_weekly_limit(firm):
    make_person(firm)
    assert only_person(firm).weekly_hours_limit is None


def test_college_counts_within_a_young_workers_forty_hours(firm):
    """40 hours a week: Working Time Regulations 1998, regulation 5A; that college counts is from memory."""
    young = make_person(firm, grade="apprentice", born_on=date(2009, 6, 1))
    make_release(firm, young, until=TODAY + timedelta(days=100))
    assert only_person(firm).young_weekly_hours == 32


@pytest.mark.parametrize(
    ("born_on", "adult_on"), [(date(2009, 1, 20), date(2027, 1, 20)), (date(2009, 1, 16), date(2027, 1, 18))],
    ids=["18 on a Wednesday", "18 on a Saturday"],
)
def test_someone_is_grown_up_from_their_birthday_when_it_comes_within_the_plan(firm, born_on, adult_on):
    make_person(firm, grade="apprentice", born_on=born_on)
    problem = load_problem(firm, TODAY)
    assert problem.sessions[problem.people[0].adult_from] == Session(adult_on, Half.MORNING)

"""The work as the planner sees it."""

from datetime import date, timedelta

import pytest

from jobs.actions.visits import decline_visit
from jobs.core.planning import quick_plan
from jobs.core.planning.problem import Grade, Mix
from jobs.models import ContactAway, Job, PersonChoice, RoomTask, Visit
from jobs.queries import stock
from jobs.queries.planning import load_problem
from jobs.queries.planning_keys import area_key, person_key
from jobs.queries.planning_work import CLOSING_HOURS, accepted_mixes
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_room,
    make_visit,
    make_visit_kind,
)
from tests.told import FRIDAY, NEXT_FRIDAY, issue_next, make_told

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return make_job(make_firm(), state=Job.State.ON_SITE)


@pytest.fixture
def area(job):
    return make_area(job, "Upstairs", level=1)


def only_package(job):
    (package,) = load_problem(job.firm, TODAY).packages
    return package


def only_visit(job):
    (visit,) = load_problem(job.firm, TODAY).visits
    return visit


def add_task(package, labour_hours: float, done_share: float = 0, **fields: object) -> RoomTask:
    room = package.area.rooms.first() or make_room(package.area)
    if done_share:
        fields.setdefault("done_at", NOW)
    return RoomTask.objects.create(
        firm_id=package.firm_id, package=package, room=room, code=f"T{RoomTask.objects.count()}", text="Chase",
        labour_hours=labour_hours, done_share=done_share, **fields,
    )


def test_remaining_hours_shrink_by_the_weight_of_what_is_ticked(job, area):
    package = make_package(area, labour_hours=16)
    add_task(package, 12, done_share=0.5)
    add_task(package, 4)
    assert only_package(job).labour_hours == 10


def test_contractors_own_figure_is_shared_like_the_take_off(job, area):
    package = make_package(area, labour_hours=16, corrected_hours=20)
    add_task(package, 8, done_share=1)
    add_task(package, 8)
    assert only_package(job).labour_hours == 10


def test_line_that_is_not_needed_counts_as_done(job, area):
    package = make_package(area, labour_hours=10)
    add_task(package, 5, not_needed="No loft here")
    add_task(package, 5)
    assert only_package(job).labour_hours == 5


def test_withdrawn_line_counts_for_nothing(job, area):
    package = make_package(area, labour_hours=10)
    add_task(package, 30, done_share=1, is_withdrawn=True)
    add_task(package, 5)
    assert only_package(job).labour_hours == 10


def test_package_is_done_when_every_line_is(job, area):
    package = make_package(area)
    add_task(package, 16, done_share=1)
    assert only_package(job).done_on == TODAY


def test_package_keeps_a_closing_visit_when_only_checks_are_open(job, area):
    package = make_package(area, labour_hours=16)
    add_task(package, 16, done_share=1)
    add_task(package, 0)
    assert (only_package(job).done_on, only_package(job).labour_hours) == (None, CLOSING_HOURS)


def test_package_has_started_when_a_line_is_ticked(job, area):
    package = make_package(area)
    add_task(package, 16, done_share=0.1, done_at=NOW - timedelta(days=3))
    assert only_package(job).started_on == date(2027, 1, 9)


def test_mixes_never_have_more_helpers_than_electricians():
    assert accepted_mixes(3) == (Mix(1, 0), Mix(1, 1), Mix(2, 0), Mix(2, 1), Mix(3, 0))


@pytest.mark.parametrize(
    "stage, grade, needs_tester",
    [("first_fix", Grade.LABOURER, False), ("second_fix", Grade.APPRENTICE, False), ("test", Grade.APPRENTICE, True)],
)
def test_stage_decides_who_may_help_and_lead(job, area, stage, grade, needs_tester):
    make_package(area, stage)
    assert (only_package(job).helper_grade, only_package(job).needs_tester) == (grade, needs_tester)


def test_choices_of_people_reach_the_package(job, area):
    make_package(area)
    liked, kept_off = make_person(job.firm), make_person(job.firm)
    PersonChoice.objects.create(firm=job.firm, job=job, person=liked)
    PersonChoice.objects.create(firm=job.firm, job=job, person=kept_off, is_excluded=True)
    package = only_package(job)
    assert (package.preferred, package.excluded) == ({person_key(liked.pk)}, {person_key(kept_off.pk)})


@pytest.mark.parametrize("own, closes", [(None, True), (False, False)])
def test_contractors_own_word_on_closing_comes_before_the_surveys(job, area, own, closes):
    make_package(area, must_close_same_day=True, corrected_close_same_day=own)
    assert only_package(job).must_close_same_day is closes


def test_open_boards_keep_the_area_and_the_floor_below_clear(job, area):
    below = make_area(job, "Downstairs", level=0)
    make_package(area, has_boards_open=True)
    assert only_package(job).keeps_clear == {area_key(area.pk), area_key(below.pk)}


def test_later_of_two_earliest_days_counts(job, area):
    job.earliest_start_on = date(2027, 1, 20)
    job.save()
    make_package(area, not_before_on=date(2027, 1, 18))
    assert load_problem(job.firm, TODAY).sessions.on(only_package(job).not_before) == date(2027, 1, 20)


def test_package_waits_for_materials_that_come_later(job, area, monkeypatch):
    package = make_package(area)
    monkeypatch.setattr(stock, "load_arrivals", lambda firm, today: {package.pk: date(2027, 1, 14)})
    (arrival,) = only_package(job).arrivals
    assert arrival.words == "materials due Thu 14 Jan"


def test_accepted_visit_keeps_its_session(job):
    make_visit(job, state=Visit.State.ACCEPTED, starts_on=date(2027, 1, 14), starts_half="pm")
    assert str(load_problem(job.firm, TODAY).sessions[only_visit(job).accepted]) == "Thu 14 Jan pm"


def test_accepted_visit_under_way_keeps_the_session_it_began_in(job):
    make_visit(job, state=Visit.State.ACCEPTED, starts_on=date(2027, 1, 8), length_days=5)
    assert load_problem(job.firm, TODAY).sessions.on(only_visit(job).accepted) == date(2027, 1, 8)


def test_accepted_visit_that_should_be_over_counts_as_done(job):
    make_visit(job, state=Visit.State.ACCEPTED, starts_on=date(2027, 1, 7), length_days=2)
    assert only_visit(job).done_on == date(2027, 1, 8)


@pytest.fixture
def told():
    told = make_told()
    Job.objects.update(state=Job.State.ON_SITE)
    return told


def declined_days(told):
    problem = load_problem(told.firm, TODAY)
    return {problem.sessions.on(number) for number in problem.visits[0].declined}


def test_visit_cannot_start_on_a_day_its_trade_declined(told):
    decline_visit(told=told.date, link=told.link, now=NOW)
    assert declined_days(told) == {FRIDAY}


def test_every_declined_day_is_kept_when_a_trade_declines_again(told):
    decline_visit(told=told.date, link=told.link, now=NOW)
    issue_next(told, NEXT_FRIDAY, NOW + timedelta(hours=1))
    decline_visit(told=told.date, link=told.link, now=NOW + timedelta(hours=2))
    assert declined_days(told) == {FRIDAY, NEXT_FRIDAY}


def test_trade_that_wants_notice_is_not_planned_sooner(job):
    make_visit(job, kind=make_visit_kind(job.firm, lead_days=14))
    assert load_problem(job.firm, TODAY).sessions.on(only_visit(job).not_before) == TODAY + timedelta(days=14)


def test_trade_asked_for_a_sooner_day_can_still_come_then(job):
    visit = make_visit(
        job, kind=make_visit_kind(job.firm, lead_days=14), state=Visit.State.ASKED, starts_on=TODAY + timedelta(days=3)
    )
    assert load_problem(job.firm, TODAY).sessions.on(only_visit(job).not_before) == visit.starts_on


def go_away(contact, starts_on: date, ends_on: date) -> None:
    ContactAway.objects.create(firm=contact.firm, contact=contact, starts_on=starts_on, ends_on=ends_on)


def closed_sessions(job) -> list[str]:
    sessions = load_problem(job.firm, TODAY).sessions
    return [str(sessions[number]) for number in sorted(only_visit(job).closed)]


def test_visit_is_closed_in_every_session_its_trade_is_away(job):
    contact = make_contact(job.firm)
    make_visit(job, contact)
    go_away(contact, date(2027, 1, 15), date(2027, 1, 18))
    assert closed_sessions(job) == ["Fri 15 Jan am", "Fri 15 Jan pm", "Mon 18 Jan am", "Mon 18 Jan pm"]


def test_accepted_visit_is_not_over_while_its_trade_was_away_in_between(job):
    contact = make_contact(job.firm)
    make_visit(job, contact, state=Visit.State.ACCEPTED, starts_on=date(2027, 1, 7), length_days=2)
    go_away(contact, date(2027, 1, 8), date(2027, 1, 11))
    assert only_visit(job).done_on is None


def test_visit_is_open_when_somebody_else_is_away(job):
    make_visit(job, make_contact(job.firm))
    go_away(make_contact(job.firm), date(2027, 1, 15), date(2027, 1, 18))
    assert closed_sessions(job) == []


def test_visit_is_closed_to_the_end_when_its_trade_never_comes_back(job):
    contact = make_contact(job.firm)
    make_visit(job, contact)
    go_away(contact, TODAY + timedelta(days=7), date.max)
    assert max(only_visit(job).closed) == len(load_problem(job.firm, TODAY).sessions) - 1


def test_plan_keeps_a_visit_off_the_days_its_trade_is_away(job):
    contact = make_contact(job.firm)
    make_visit(job, contact, kind=make_visit_kind(job.firm, lead_days=0, length_days=1))
    make_person(job.firm)
    go_away(contact, TODAY, date(2027, 1, 18))
    problem = load_problem(job.firm, TODAY)
    (span,) = quick_plan(problem).spans.values()
    assert problem.sessions.on(span.first) == date(2027, 1, 19)

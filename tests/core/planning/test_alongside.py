"""Who is free and may not lead goes alongside an electrician, and never makes work shorter."""

from dataclasses import replace

import pytest

from jobs.core.planning import check_plan, quick_plan
from jobs.core.planning.plan import Plan
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Booking, Grade, Pin, Problem
from jobs.core.stages import Stage
from tests.core.planning.cast import ANN, BOB, CAL, DEE, package, problem


def alongside(plan: Plan, person: str) -> list[tuple[int, str]]:
    """(session, package) in which a person is alongside."""
    return [(b.session, b.package) for b in plan.bookings if b.person == person and b.is_alongside]


def oak_and_mill(**fields: object) -> Problem:
    """A house for each electrician, for a day."""
    each = {"people": (ANN, BOB, CAL), **fields}
    return problem(package(excluded=frozenset({"bob"})), package("oak", job="oak", excluded=frozenset({"ann"})), **each)


def test_an_apprentice_goes_with_an_electrician_when_the_work_does_not_need_them() -> None:
    plan = quick_plan(problem(package(), people=(ANN, CAL)))
    assert alongside(plan, "cal") == [(0, "fix"), (1, "fix")]
    assert plan.spans["fix"].ends_at == 2.0


def test_everyone_stays_on_one_site_all_day_when_both_have_room() -> None:
    plan = quick_plan(oak_and_mill())
    assert len({key for _, key in alongside(plan, "cal")}) == 1


def test_nobody_under_18_goes_along_when_there_is_live_testing() -> None:
    test = package(stage=Stage.TEST, needs_tester=True)
    plan = quick_plan(problem(test, people=(ANN, CAL, DEE)))
    assert (alongside(plan, "cal"), alongside(plan, "dee")) == ([(0, "fix"), (1, "fix")], [])


def test_one_stays_free_when_there_is_an_electrician_for_one_only() -> None:
    plan = quick_plan(problem(package(), people=(ANN, CAL, DEE)))
    assert (len(alongside(plan, "dee")), len(alongside(plan, "cal"))) == (2, 0)


@pytest.mark.parametrize(
    "cal",
    [
        replace(CAL, away={0: "college", 1: "college"}),
        replace(CAL, grade=Grade.LABOURER),
        replace(CAL, weekly_hours_limit=0.0),
    ],
)
def test_nobody_goes_along_when_they_are_away_or_the_stage_or_their_hours_do_not_allow_it(cal) -> None:
    plan = quick_plan(problem(package(helper_grade=Grade.APPRENTICE), people=(ANN, cal)))
    assert alongside(plan, "cal") == []


def test_someone_kept_off_a_job_goes_to_the_other_when_both_have_room() -> None:
    work = oak_and_mill()
    packages = tuple(replace(p, excluded=p.excluded | ({"cal"} if p.key == "oak" else set())) for p in work.packages)
    assert {key for _, key in alongside(quick_plan(replace(work, packages=packages)), "cal")} == {"fix"}


def test_an_electrician_who_is_free_stays_free() -> None:
    plan = quick_plan(problem(package(), people=(ANN, BOB)))
    assert not any(booking.is_alongside for booking in plan.bookings)


def test_people_stay_where_they_were_told_to_go_when_that_is_still_possible() -> None:
    work = oak_and_mill()
    for key in ("oak", "fix"):
        held = tuple(Booking(session, "cal", key, 4.0, is_alongside=True) for session in (0, 1))
        assert alongside(quick_plan(replace(work, bookings=held)), "cal") == [(0, key), (1, key)]


def test_a_hand_puts_someone_alongside_when_the_crew_has_no_place_for_them() -> None:
    pin = Pin("hand", "oak", 1, "cal", is_alongside=True)
    plan = quick_plan(oak_and_mill(pins=(pin,)))
    assert (1, "oak") in alongside(plan, "cal")
    assert plan.broken == ()


def test_hours_alongside_are_those_of_the_electrician_when_work_takes_part_of_a_session() -> None:
    plan = quick_plan(problem(package(hours=7), people=(ANN, CAL)))
    assert [b.hours for b in plan.bookings if b.person == "cal"] == [4.0, 3.0]


def test_work_ends_as_soon_and_keeps_every_rule_when_people_go_alongside() -> None:
    work = portfolio(7, jobs=3, people=7)
    plan = quick_plan(work)
    assert any(booking.is_alongside for booking in plan.bookings)
    assert check_plan(work, plan) == []
    working = replace(plan, bookings=tuple(b for b in plan.bookings if not b.is_alongside))
    assert check_plan(work, working) == []

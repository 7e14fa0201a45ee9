from dataclasses import replace
from datetime import date

from jobs.core.planning import improve_plan, input_checks, quick_plan
from jobs.core.planning.plan import Status
from jobs.core.planning.problem import LinkKind, Mix, Pin, Problem, Promise
from tests.core.planning.cast import ANN, BOB, CAL, after, package, problem, sessions, visit


def first(work: Problem) -> str:
    return (input_checks.sentences(work) or input_checks.warnings(work))[0]


def test_a_circle_is_named_when_work_waits_for_itself() -> None:
    work = problem(package(), visit(), links=(after("fix", "plaster"), after("plaster", "fix")))
    assert first(work).startswith("These wait for each other in a circle: ")
    assert "Plaster, Mill Lane" in first(work)


def test_a_circle_is_found_when_it_runs_through_inside_work() -> None:
    work = problem(
        package(),
        package("later"),
        visit(),
        links=(after("fix", "plaster", kind=LinkKind.INSIDE), after("fix", "later"), after("later", "plaster")),
    )
    assert "in a circle" in first(work)


def test_nobody_is_missed_when_the_crew_is_empty() -> None:
    assert first(problem(package(), people=())) == "There is nobody in the crew. Add people before planning."


def test_absence_is_told_when_it_covers_everyone() -> None:
    gone = dict.fromkeys(range(len(sessions())), "on holiday")
    work = problem(package(), people=(replace(ANN, away=gone), replace(BOB, away=gone)))
    assert first(work).startswith("Everybody is away for the whole of the time planned.")


def test_a_package_nobody_can_do_is_named_when_no_tester_is_in_the_crew() -> None:
    assert "one of whom may test" in first(problem(package(needs_tester=True), people=(BOB,)))


def test_a_crew_of_none_is_refused_when_a_package_takes_only_that() -> None:
    assert "No crew can do Fix, Mill Lane" in first(problem(package(mixes=(Mix(0, 0),))))


def test_an_apprentice_alone_is_no_crew_when_nobody_supervises() -> None:
    assert "No crew can do" in first(problem(package(mixes=(Mix(0, 1),)), people=(CAL,)))


def test_a_promise_in_the_past_is_told_and_planned_when_work_is_left() -> None:
    work = problem(package(), promises=(Promise("mill", 1, date(2027, 1, 11)),), first_session=4)
    assert "was promised for Mon 11 Jan, which is past" in first(work)
    assert quick_plan(work).spans["fix"].first == 4


def test_work_that_must_close_is_told_when_it_takes_longer_than_a_day() -> None:
    assert "must close the day it starts" in first(problem(package(hours=30, must_close_same_day=True)))


def test_a_person_in_two_houses_is_told_when_both_are_pinned() -> None:
    pins = (Pin("a", "fix", 3, "ann"), Pin("b", "oak", 3, "ann"))
    assert "Ann is pinned to" in first(problem(package(), package("oak", job="oak"), pins=pins))


def test_a_link_to_nowhere_is_told_when_its_work_is_gone() -> None:
    assert "names work that is not in the programme" in first(problem(package(), links=(after("gone", "fix"),)))


def test_an_empty_calendar_is_told_when_no_day_is_left() -> None:
    assert "no working day left" in first(problem(package(), first_session=10**6))


def test_an_answer_comes_back_when_input_is_bad() -> None:
    plan = improve_plan(problem(package(), people=()), seconds=1)
    assert (plan.status, len(plan.messages)) == (Status.INFEASIBLE, 1)


def test_an_empty_plan_is_fine_when_there_is_nothing_to_do() -> None:
    assert quick_plan(problem(people=())).status == Status.FEASIBLE

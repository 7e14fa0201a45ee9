from dataclasses import replace

from jobs.core.planning import quick_plan
from jobs.core.planning.problem import Problem, Promise, Told
from tests.core.planning.cast import ANN, after, package, problem, sessions, visit

HOURS = 16


def house(job: str) -> tuple:
    return package(f"{job} fix", HOURS, job=job), visit(f"{job} plaster", job=job)


def houses(*jobs: str, **fields: object) -> Problem:
    links = tuple(after(f"{job} fix", f"{job} plaster") for job in jobs)
    return problem(*(one for job in jobs for one in house(job)), people=(ANN,), links=links, **fields)


def new_job_promised_soon() -> tuple[Problem, object]:
    """Two houses were told their plasterer's days; then a third comes in and is promised within the week."""
    two = houses("mill", "oak")
    plan = quick_plan(two)
    told = tuple(Told(one.key, plan.spans[one.key].first, "plasterer") for one in two.visits)
    promise = Promise("elm", 6, sessions()[6].on, "the customer")
    return houses("mill", "oak", "elm", told=told, promises=(promise,)), plan


def test_one_job_gives_way_when_a_new_one_would_be_late() -> None:
    work, before = new_job_promised_soon()
    plan = quick_plan(work, before=before)
    assert plan.objective.late_sessions == 0
    assert plan.objective.told_moved == 1


def test_told_dates_all_stay_when_the_new_job_has_time() -> None:
    work, before = new_job_promised_soon()
    plan = quick_plan(replace(work, promises=()), before=before)
    assert plan.objective.told_moved == 0

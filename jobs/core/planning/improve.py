"""From a quick plan to the best plan found in the time given."""

from collections.abc import Callable
from dataclasses import replace
from time import monotonic

from jobs.core.planning import fast, input_checks, quick
from jobs.core.planning.build import Built, build
from jobs.core.planning.network import Schedule, score
from jobs.core.planning.plan import Objective, Plan, Progress, Status
from jobs.core.planning.problem import Problem


def improve_plan(
    problem: Problem,
    *,
    seed: Plan | None = None,
    seconds: float = 5.0,
    workers: int = 2,
    random_seed: int = 1,
    is_deterministic: bool = False,
    on_progress: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    messages = input_checks.sentences(problem)
    if messages:
        return Plan(Status.INFEASIBLE, messages=tuple(messages))
    built = build(problem)
    schedule = _seed(built, seed)
    if schedule is None:
        return quick.too_long(problem)
    from jobs.core.planning.solver import solve

    settings = solve.Settings(seconds, workers, random_seed, is_deterministic)
    watch = solve.Watch(_listener(on_progress), should_stop or (lambda: False))
    state = solve.solve(built.network, schedule, settings, watch)
    return _plan(built, state)


def _seed(built: Built, seed: Plan | None) -> Schedule | None:
    return fast.fast_schedule(built.network)


def _listener(on_progress: Callable[[Progress], None] | None) -> Callable:
    began_at = monotonic()

    def tell(state, term: str) -> None:
        if on_progress is not None:
            bound = Objective(*state.bound)
            on_progress(Progress(monotonic() - began_at, Objective(*state.score), bound, gap(state), term))

    return tell


def gap(state) -> float:
    """How far flow may be above the least possible, from 0 (proven best) to 1."""
    *_, flow = state.score
    return 0.0 if state.is_optimal else (flow - state.bound[-1]) / flow if flow else 0.0


def _plan(built: Built, state) -> Plan:
    plan = quick.plan_of(built, state.schedule)
    status = Status.OPTIMAL if state.is_optimal and not plan.broken else plan.status
    return replace(plan, status=status, bound=Objective(*state.bound), gap=gap(state))

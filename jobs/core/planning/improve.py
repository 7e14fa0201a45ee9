"""From a quick plan to the best plan found in the time given."""

from collections.abc import Callable
from dataclasses import replace
from time import monotonic

from jobs.core.planning import earlier, fast, input_checks, quick, reasons, rules
from jobs.core.planning.build import Built, build
from jobs.core.planning.order_search import Found
from jobs.core.planning.plan import Objective, Plan, Progress, Status
from jobs.core.planning.problem import Problem
from jobs.core.planning.shapes import Shapes

EXPLAIN_SHARE = 0.3
"""Share of the time kept to find what conflicts, when something does."""

EXPLAIN_SECONDS = 3.0
"""The least time for that."""


def improve_plan(
    problem: Problem,
    *,
    seed: Plan | None = None,
    before: Plan | None = None,
    seconds: float = 5.0,
    workers: int = 2,
    random_seed: int = 1,
    is_deterministic: bool = False,
    on_progress: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    """See `jobs.core.planning.improve_plan`."""
    messages = input_checks.sentences(problem)
    if messages:
        return Plan(Status.INFEASIBLE, messages=tuple(messages))
    built = build(problem, before)
    shapes = Shapes(built.network)
    found = fast.fast_schedule(built.network, shapes, known=earlier.orders(built, before, seed))
    if found is None:
        return quick.too_long(problem)
    from jobs.core.planning.solver.settings import Settings

    settings = Settings(seconds, workers, random_seed, is_deterministic)
    plan = _improved(built, shapes, found, settings, on_progress, should_stop or (lambda: False))
    for known in (seed, before):
        plan = _no_worse(built, plan, known)
    return plan


def _improved(built: Built, shapes: Shapes, found: Found, settings, on_progress, should_stop) -> Plan:
    from jobs.core.planning.solver import feasible, solve

    whole, first = settings.started(), quick.plan_of(built, found.schedule)
    if first.broken:
        found = feasible.repaired(built.network, shapes, found, whole.share(1 - EXPLAIN_SHARE))
        if found.misfit:
            return _with_conflicts(built.problem, quick.plan_of(built, found.schedule), settings)
    is_late = found.score[0] > 0
    time = whole.share(1 - EXPLAIN_SHARE if is_late else 1.0)
    state = solve.solve(built.network, shapes, found, time, solve.Watch(_listener(on_progress), should_stop))
    plan = _plan(built, state)
    return _with_conflicts(built.problem, plan, settings) if plan.objective.late_sessions and not should_stop() else plan


def _with_conflicts(problem: Problem, plan: Plan, settings) -> Plan:
    """The plan with the pins, accepted visits and promises that cannot all be kept."""
    from jobs.core.planning.solver import conflicts

    return replace(plan, conflicts=tuple(conflicts.find(problem, seconds=max(EXPLAIN_SECONDS, settings.seconds * EXPLAIN_SHARE))))


def _listener(on_progress: Callable[[Progress], None] | None) -> Callable:
    began_at = monotonic()

    def tell(state) -> None:
        if on_progress is not None:
            on_progress(Progress(monotonic() - began_at, Objective(*state.score), Objective(*state.bound), gap(state)))

    return tell


def gap(state) -> float:
    """How far flow may be above the least possible, as a share of it: 0 is proven best."""
    flow = state.score[-1]
    return 0.0 if state.is_optimal or not flow else (flow - state.bound[-1]) / flow


def _plan(built: Built, state) -> Plan:
    plan = quick.plan_of(built, state.schedule)
    status = Status.OPTIMAL if state.is_optimal and not plan.broken else plan.status
    return replace(plan, status=status, bound=Objective(*state.bound), gap=gap(state))


def _no_worse(built: Built, plan: Plan, known: Plan | None) -> Plan:
    """A plan known before, as it stands today, when it keeps the rules and nothing better was found."""
    if known is None or not known.spans or rules.broken_rules(built.problem, known) or not earlier.keeps_gaps(built, known):
        return plan
    objective = earlier.measure(built, known)
    if not (plan.broken or objective < plan.objective):
        return plan
    reasons_now = reasons.causes(built.problem, known)
    return replace(known, objective=objective, bound=plan.bound, gap=plan.gap, causes=reasons_now, broken=(), conflicts=())

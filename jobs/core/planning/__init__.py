"""The planner's front door: `quick_plan`, `improve_plan`, `check_plan`, `explain`, `compare_plans`.

Parts are loaded when first used, so that importing the planner costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from jobs.core.planning.plan import Broken, Cause, Conflict, Plan, Progress
from jobs.core.planning.problem import Problem

if TYPE_CHECKING:
    from jobs.core.planning.changes import Changes
    from jobs.core.planning.risk import Risk
    from jobs.core.planning.spreads import Spreads


def quick_plan(problem: Problem, *, before: Plan | None = None) -> Plan:
    """A usable plan at once (a fraction of a second). The same problem always gives the same plan.

    `before`: the plan people looked at until now; nothing moves from it that brings nothing.

    Bad input gives a plan with `status` infeasible and `messages` saying what to mend. Pins and
    accepted visits that cannot be kept are still placed where they are wanted, and `broken` says what they break.
    """
    from jobs.core.planning import quick

    return quick.quick_plan(problem, before)


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
    """The best plan found within `seconds`; never worse than `seed`, `before` or the quick plan where those keep the rules.

    `before`: the plan people looked at until now; nothing moves from it for less than it brings (`weights.MOVED_START`).

    `should_stop` is asked often; answering True ends the run with the best so far. `is_deterministic`
    counts work instead of time and uses one worker, so the same input gives the same plan on any machine.
    """
    from jobs.core.planning import improve

    return improve.improve_plan(
        problem,
        seed=seed,
        before=before,
        seconds=seconds,
        workers=workers,
        random_seed=random_seed,
        is_deterministic=is_deterministic,
        on_progress=on_progress,
        should_stop=should_stop,
    )


def check_plan(problem: Problem, plan: Plan) -> list[Broken]:
    """Every rule the plan breaks, in words; works for any plan, also one moved by hand."""
    from jobs.core.planning import rules

    return rules.broken_rules(problem, plan)


def explain(problem: Problem, plan: Plan, key: str) -> list[tuple[str, Cause]]:
    """Why an activity starts when it does: (activity key, its cause), followed back to the beginning."""
    from jobs.core.planning import reasons

    return reasons.chain(problem, plan, key)


def compare_plans(problem: Problem, old: Plan, new: Plan) -> Changes:
    """What moved between two plans of the same problem, in words with causes."""
    from jobs.core.planning import changes

    return changes.compare(problem, old, new)


def measure_risk(problem: Problem, plan: Plan, spreads: Spreads) -> Risk:
    """How firm the plan's dates are: P50 and P80 of every start and end, and the chance that each holds."""
    from jobs.core.planning import risk

    return risk.measure(problem, plan, spreads)


def find_conflicts(problem: Problem, *, seconds: float = 5.0) -> list[Conflict]:
    """The smallest set of pins, accepted visits and promises that cannot hold together; empty when all can."""
    from jobs.core.planning.solver import conflicts

    return conflicts.find(problem, seconds=seconds)

"""From a problem to a plan at once, and from any schedule to a whole plan."""

from dataclasses import replace

from jobs.core.planning import alongside, crew, earlier, fast, input_checks, reasons, rules
from jobs.core.planning.build import Built, build
from jobs.core.planning.network import Schedule, score
from jobs.core.planning.plan import Objective, Plan, Span, Status
from jobs.core.planning.problem import Problem
from jobs.core.planning.words import when


def quick_plan(problem: Problem, before: Plan | None = None) -> Plan:
    """See `jobs.core.planning.quick_plan`."""
    messages = input_checks.sentences(problem)
    if messages:
        return Plan(Status.INFEASIBLE, messages=tuple(messages))
    built = build(problem, before)
    found = fast.fast_schedule(built.network, known=earlier.orders(built, before))
    return plan_of(built, found.schedule) if found else too_long(problem)


def too_long(problem: Problem) -> Plan:
    """The answer when the work runs past the calendar's end: no dates, a message saying what to do."""
    end = when(problem, len(problem.sessions) - 1)
    return Plan(
        Status.INFEASIBLE,
        messages=(
            f"The work does not fit before {end}, where the calendar given to the planner ends. "
            "Plan further ahead, add people, or take work out.",
        ),
    )


def plan_of(built: Built, schedule: Schedule) -> Plan:
    """Name the people of a schedule, check it and give every start its cause."""
    working = crew.bookings(built, schedule)
    plan = Plan(
        status=Status.FEASIBLE,
        spans={key: _span(built, schedule, tasks) for key, tasks in built.tasks_of.items()},
        bookings=tuple(sorted((*working, *alongside.bookings(built, working)))),
        messages=tuple(input_checks.warnings(built.problem)),
        objective=Objective(*score(built.network, schedule)),
    )
    broken = tuple(rules.broken_rules(built.problem, plan))
    plan = replace(plan, broken=broken, status=Status.INFEASIBLE if broken else Status.FEASIBLE)
    return replace(plan, causes=reasons.causes(built.problem, plan))


def _span(built: Built, schedule: Schedule, tasks: tuple[int, ...]) -> Span:
    begins, ends = schedule[tasks[0]], schedule[tasks[-1]]
    crews = built.parts[tasks[0]].crews
    return Span(
        key=built.parts[tasks[0]].activity,
        first=begins.first,
        last=max(begins.first, ends.end - 1),
        starts_at=_in_sessions(built, begins.start_tick, begins.first),
        ends_at=_in_sessions(built, ends.end_tick, max(begins.first, ends.end - 1)),
        mix=crews[begins.mode].mix if crews else None,
    )


def _in_sessions(built: Built, tick: int, session: int) -> float:
    bounds = built.network.bounds
    return session + (tick - bounds[session]) / (bounds[session + 1] - bounds[session])

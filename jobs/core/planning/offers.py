"""Which dates other trades are offered: those that hold four times in five.

The planner puts a visit where it can start if all goes to estimate; about every second such date would have to be
taken back. So time is kept in hand before each visit that nobody has been given a date for, as many sessions as
P80 of what it waits for lies past the plan; the plan made next leaves that gap, and uses it for other work.

What stays as it is, so that plans are calm: visits agreed, put by hand, or told a date that the plan still keeps.
"""

from collections.abc import Callable, Set
from dataclasses import dataclass, replace

from jobs.core.planning.plan import Plan, Span
from jobs.core.planning.problem import Link, LinkKind, Problem, Visit
from jobs.core.planning.spreads import Spreads


@dataclass(frozen=True)
class Settled:
    """A plan with the problem it answers, time kept in hand included.

    `weak`: visits whose date, new or agreed, does not hold four times in five; `short`: those whose date is new.
    """

    problem: Problem
    plan: Plan
    weak: frozenset[str]
    short: frozenset[str]

    @property
    def worth(self) -> tuple[int, ...]:
        """Smaller is better: what a plan must keep comes before firm dates, and firm dates before flow."""
        *kept, flow = self.plan.objective.terms()
        return (len(self.plan.broken), *kept, len(self.weak), flow)


def settle(
    problem: Problem,
    spreads: Spreads,
    make_plan: Callable[[Problem], Plan],
    *,
    rounds: int,
    moved_too: bool = False,
    seed: Plan | None = None,
) -> Settled:
    """Plan, keep time in hand where new dates are not safe, plan again: the best of so many rounds, and of `seed`.

    `moved_too`: dates that were told but that the plan has to move are offered anew; leave it off while a better plan
    may still keep them. A plan without spans (bad input) is returned as it is.
    """
    found = [_judged(problem, seed, spreads, moved_too)] if seed else []
    for _ in range(rounds):
        found.append(_judged(problem, make_plan(problem), spreads, moved_too))
        if not found[-1].short:
            break
        problem = keep_in_hand(problem, found[-1].plan, spreads, moved_too=moved_too)
    return min(found, key=lambda settled: settled.worth)


def _judged(problem: Problem, plan: Plan, spreads: Spreads, moved_too: bool) -> Settled:
    from jobs.core.planning import risk

    visits = [visit.key for visit in problem.open_visits() if visit.key in plan.spans]
    ranges = risk.measure(problem, plan, spreads).ranges if visits else {}
    weak = frozenset(key for key in visits if key in ranges and ranges[key].holds < risk.SAFE)
    return Settled(problem, plan, weak, weak & to_offer(problem, plan, moved_too=moved_too))


def keep_in_hand(problem: Problem, plan: Plan, spreads: Spreads, *, moved_too: bool = False) -> Problem:
    """The problem with time kept in hand before every visit still to be offered, as the plan's risk asks."""
    from jobs.core.planning import risk

    spare = risk.measure(problem, plan, spreads, offered=to_offer(problem, plan, moved_too=moved_too)).spare
    return replace(problem, links=tuple(_spared(link, plan, spare.get(link.after, 0)) for link in problem.links))


def to_offer(problem: Problem, plan: Plan, *, moved_too: bool) -> Set[str]:
    """The visits of a plan whose date is a new offer."""
    pinned = {pin.activity for pin in problem.pins}
    visits = (visit for visit in problem.open_visits() if visit.key in plan.spans and visit.accepted is None)
    return {v.key for v in visits if v.key not in pinned and _is_new(_said(problem, v), plan.spans[v.key], moved_too)}


def _said(problem: Problem, visit: Visit) -> set[int]:
    return {told.session for told in problem.told if told.activity == visit.key} | {visit.asked} - {None}


def _is_new(said: set[int], span: Span, moved_too: bool) -> bool:
    return not said or (moved_too and span.first not in said)


def _spared(link: Link, plan: Plan, spare: int) -> Link:
    """A link keeps the most that was ever asked for, so that planning again comes to rest."""
    if link.kind == LinkKind.INSIDE and link.before in plan.spans and link.after in plan.spans:
        spare = min(spare, _length(plan.spans[link.before]) - _length(plan.spans[link.after]))
    return replace(link, spare_sessions=spare) if spare > link.spare_sessions else link


def _length(span: Span) -> int:
    return span.last - span.first + 1

"""A plan made earlier: taken up again as an order to search from, and measured as it would be today."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from math import ceil

from jobs.core.planning import crews
from jobs.core.planning.build import Built, Part
from jobs.core.planning.generation import Order
from jobs.core.planning.network import Placed, Schedule, score
from jobs.core.planning.plan import Objective, Plan, Span
from jobs.core.planning.priorities import FIRST_THRIFTS, topological

BEHIND = 0.5
"""Sessions by which work the plan does not know goes behind what it waits for. It takes what room the plan left."""


def orders(built: Built, *plans: Plan | None) -> list[Order]:
    """The orders of those plans that there are."""
    return [order_of(built, plan) for plan in plans if plan is not None and plan.spans]


def order_of(built: Built, plan: Plan) -> Order:
    """Everything where the plan has it, with the same crews, as far as that is still possible."""
    thrift = (FIRST_THRIFTS[-1],) * len(built.parts)
    return Order(_ranks(built, plan), thrift, _holds(built, plan), dict(_modes(built, plan)))


def _ranks(built: Built, plan: Plan) -> list[float]:
    end = max(span.ends_at for span in plan.spans.values())
    ranks = [end] * len(built.parts)
    for task in topological(built.network):
        part = built.parts[task]
        if part.activity in plan.spans:
            ranks[task] = _at(plan.spans[part.activity], part.number / part.count)
        else:
            ranks[task] = max((ranks[before] for before in built.network.waits_for[task]), default=end) + BEHIND
    return ranks


def _at(span: Span, share: float) -> float:
    """Where a share of an activity is done; the parts of a long package share its stretch evenly."""
    return span.starts_at + (span.ends_at - span.starts_at) * share


def _holds(built: Built, plan: Plan) -> dict[int, int]:
    """Starts with a session; what carries on within one follows by its rank."""
    starts = {tasks[0]: plan.spans[key] for key, tasks in built.tasks_of.items() if key in plan.spans}
    held = {task: span.first for task, span in starts.items() if span.starts_at == span.first >= built.network.first}
    return dict(sorted(held.items(), key=lambda pair: (pair[1], pair[0])))


def _modes(built: Built, plan: Plan) -> Iterator[tuple[int, int]]:
    """(task, mode) where those booked first make one of the crews: of several, the one that takes as long as planned."""
    booked = _first_booked(plan)
    for task, part in enumerate(built.parts):
        people = booked.get(part.activity, frozenset())
        fitting = [number for number, crew in enumerate(part.crews) if _is_made_of(crew, people)]
        if fitting:
            span = plan.spans[part.activity]
            ticks = (_tick(built, span.ends_at) - _tick(built, span.starts_at)) / part.count
            modes = built.network.tasks[task].modes
            yield task, min(fitting, key=lambda number: abs(modes[number].ticks - ticks))


def _first_booked(plan: Plan) -> Mapping[str, frozenset[str]]:
    people: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    for booking in plan.bookings:
        if not booking.is_alongside and booking.package in plan.spans:
            people[booking.package][booking.session].add(booking.person)
    return {key: frozenset(sessions[min(sessions)]) for key, sessions in people.items()}


def _is_made_of(crew: crews.Crew, people: frozenset[str]) -> bool:
    return len(people) == len(crew.places) and crews.can_fill(place & people for place in crew.places)


def _tick(built: Built, at: float) -> float:
    bounds = built.network.bounds
    session = min(int(at), len(bounds) - 2)
    return bounds[session] + (at - session) * (bounds[session + 1] - bounds[session])


def measure(built: Built, plan: Plan) -> Objective:
    """What the planner makes small, read off a plan that has everything."""
    return Objective(*score(built.network, _schedule(built, plan)))


def keeps_gaps(built: Built, plan: Plan) -> bool:
    """Whether a plan that has everything leaves the time wanted between activities, also where only the planner wants it."""
    schedule = _schedule(built, plan)
    gaps = ((edge, schedule[edge.before], schedule[edge.after]) for edge in built.network.edges if edge.table is not None)
    return all(edge.earliest(before.first, before.end) <= after.first for edge, before, after in gaps)


def _schedule(built: Built, plan: Plan) -> Schedule:
    return tuple(_placed(part, plan.spans[part.activity]) for part in built.parts)


def _placed(part: Part, span: Span) -> Placed:
    first, end = int(_at(span, part.number / part.count)), ceil(_at(span, (part.number + 1) / part.count) - 1e-6)
    is_last = part.number == part.count - 1
    return Placed(first, span.last + 1 if is_last else end, 0, 0)

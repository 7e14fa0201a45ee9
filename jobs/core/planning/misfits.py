"""How far a schedule is from keeping everything: only starts fixed from outside can make it break anything."""

from collections.abc import Iterator

from jobs.core.planning.network import Network, Schedule

Misfit = tuple[int, tuple[int, int]]
"""Sessions by which two tasks break what holds between them."""


def misfit(network: Network, schedule: Schedule) -> int:
    """Sessions by which edges, insides and clashes are broken, and places missing; 0 when everything is kept."""
    if not network.can_be_broken:
        return 0
    return sum(sessions for sessions, _ in _broken(network, schedule)) + _short(network, schedule)


def wrong_tasks(network: Network, schedule: Schedule) -> set[int]:
    """Tasks that break something, on both sides of it; with places missing, those at work there."""
    wrong = {task for sessions, pair in _broken(network, schedule) if sessions for task in pair}
    lefts = [_left(network, schedule, resource) for resource in range(len(network.capacity))]
    short = {session for left in lefts for session, count in enumerate(left) if count < 0}
    at_work = (t for t, task in enumerate(network.tasks) if task.ends is None)
    return wrong | {task for task in at_work if short & set(range(schedule[task].held_from, schedule[task].end))}


def _broken(network: Network, schedule: Schedule) -> Iterator[Misfit]:
    yield from _edges(network, schedule)
    yield from _insides(network, schedule)
    yield from _clashes(network, schedule)


def _edges(network: Network, schedule: Schedule) -> Iterator[Misfit]:
    for edge in network.edges:
        before, after = schedule[edge.before], schedule[edge.after]
        if edge.table is not None:
            yield max(0, edge.earliest(before.first, before.end) - after.first), (edge.before, edge.after)
        elif after.start_tick < (before.start_tick if edge.from_start else before.end_tick):
            late = max(1, (before.first if edge.from_start else before.end) - after.first)
            yield late, (edge.before, edge.after)


def _insides(network: Network, schedule: Schedule) -> Iterator[Misfit]:
    for inside in network.insides:
        host, child = schedule[inside.host], schedule[inside.child]
        over = child.first + 1 - max(host.end, host.first + 1) if inside.starts_only else child.end - host.end
        yield max(0, over), (inside.host, inside.child)


def _clashes(network: Network, schedule: Schedule) -> Iterator[Misfit]:
    for one, other in network.clashes:
        a, b = schedule[one], schedule[other]
        yield max(0, min(a.end, b.end) - max(a.first, b.first)), (one, other)


def _short(network: Network, schedule: Schedule) -> int:
    """Places missing over all sessions, counted in the resource that is shortest."""
    if not network.is_work_bound:
        return 0
    lefts = (_left(network, schedule, resource) for resource in range(len(network.capacity)))
    return max((-sum(min(0, more) for more in left) for left in lefts), default=0)


def _left(network: Network, schedule: Schedule, resource: int) -> list[int]:
    """What is left of a resource in each session; below 0, so many places are missing."""
    left = list(network.capacity[resource])
    for task, placed in zip(network.tasks, schedule, strict=True):
        demand = 0 if task.ends is not None else task.modes[placed.mode].demands[resource]
        for session in range(placed.held_from, placed.end) if demand else ():
            left[session] -= demand
    return left

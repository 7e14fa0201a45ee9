"""How far a schedule is from keeping everything: only starts fixed from outside can make it break anything."""

from collections.abc import Iterator

from jobs.core.planning.network import Network, Schedule


def misfit(network: Network, schedule: Schedule) -> int:
    """Sessions by which edges, insides and clashes are broken, and places missing; 0 when everything is kept."""
    if not network.can_be_broken:
        return 0
    broken = (*_edges(network, schedule), *_insides(network, schedule), *_clashes(network, schedule))
    return sum(broken) + _short(network, schedule)


def _edges(network: Network, schedule: Schedule) -> Iterator[int]:
    for edge in network.edges:
        before, after = schedule[edge.before], schedule[edge.after]
        if edge.table is not None:
            yield max(0, edge.earliest(before.first, before.end) - after.first)
        elif after.start_tick < (before.start_tick if edge.from_start else before.end_tick):
            yield max(1, (before.first if edge.from_start else before.end) - after.first)


def _insides(network: Network, schedule: Schedule) -> Iterator[int]:
    for inside in network.insides:
        host, child = schedule[inside.host], schedule[inside.child]
        yield max(0, child.first + 1 - max(host.end, host.first + 1) if inside.starts_only else child.end - host.end)


def _clashes(network: Network, schedule: Schedule) -> Iterator[int]:
    for one, other in network.clashes:
        a, b = schedule[one], schedule[other]
        yield max(0, min(a.end, b.end) - max(a.first, b.first))


def _short(network: Network, schedule: Schedule) -> int:
    """Places missing over all sessions, counted in the resource that is shortest."""
    if not network.is_work_bound:
        return 0
    return max((_over(network, schedule, resource) for resource in range(len(network.capacity))), default=0)


def _over(network: Network, schedule: Schedule, resource: int) -> int:
    left = list(network.capacity[resource])
    for task, placed in zip(network.tasks, schedule, strict=True):
        demand = 0 if task.ends is not None else task.modes[placed.mode].demands[resource]
        for session in range(placed.held_from, placed.end) if demand else ():
            left[session] -= demand
    return -sum(min(0, more) for more in left)

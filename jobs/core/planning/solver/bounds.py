"""How good a schedule can be at most, without solving: every task as early as what it waits for allows."""

from itertools import pairwise

from jobs.core.planning.network import Edge, Network
from jobs.core.planning.priorities import topological
from jobs.core.planning.profile import lowest, span_mask
from jobs.core.planning.shapes import Shapes


def earliest_ends(network: Network, shapes: Shapes) -> list[int]:
    """The session past the last of each task if there were always enough people."""
    return _earliest(network, shapes)[1]


def _earliest(network: Network, shapes: Shapes) -> tuple[list[int], list[int]]:
    """First and past-the-last session of each task if there were always enough people."""
    starts, ends, first_sessions, end_sessions = ([0] * len(network.tasks) for _ in range(4))
    for task in topological(network):
        ready = max(
            [network.bounds[network.tasks[task].earliest]]
            + [_ready(network, edge, starts, ends, first_sessions, end_sessions) for edge in network.edges_into[task]]
        )
        starts[task], ends[task] = _span(network, shapes, task, ready)
        first_sessions[task], end_sessions[task] = network.session_of(starts[task]), network.end_session(ends[task])
    return first_sessions, end_sessions


def least_terms(network: Network, shapes: Shapes) -> tuple[int, int, int, int]:
    """What no schedule betters, term by term of its score: finishes and starts that links alone rule out."""
    firsts, ends = _earliest(network, shapes)
    due = ((max(ends[task] for task in group.tasks), group.due) for group in network.aim.groups if group.due is not None)
    late = sum(max(0, end - wanted) for end, wanted in due)
    told, week = (sum(firsts[task] > at for task, at in wanted.items()) for wanted in (network.aim.told, network.aim.week))
    return late, told, week, least_flow(network, shapes)


def _ready(network: Network, edge, starts, ends, first_sessions, end_sessions) -> int:
    """The tick from which a link lets its task start."""
    if edge.table is None:
        return starts[edge.before] if edge.from_start else ends[edge.before]
    session = edge.earliest(first_sessions[edge.before], end_sessions[edge.before])
    return network.bounds[min(session, network.horizon)]


def _span(network: Network, shapes: Shapes, task: int, ready: int) -> tuple[int, int]:
    the_task, bounds = network.tasks[task], network.bounds
    if the_task.ends is None:
        return ready, min(bounds[-1], ready + min((mode.ticks for mode in the_task.modes), default=0))
    first = lowest(shapes.allowed(task, 0) & span_mask(network.end_session(ready), network.horizon))
    if first is None:
        return ready, ready
    return bounds[first], bounds[min(the_task.ends[first], network.horizon)]


def least_stretches(network: Network, shapes: Shapes) -> list[int]:
    """Sessions between a job's first and last work, for each job, whenever it begins and however many people there are."""
    lengths = [after - before for before, after in pairwise(network.bounds)]
    ends, group_of = [0] * len(network.tasks), {task: g for g, group in enumerate(network.aim.groups) for task in group.tasks}
    least = [_least_ticks(network, shapes, task, lengths) for task in range(len(network.tasks))]
    for task in topological(network):
        starts = [0]
        for edge in network.edges_into[task]:
            if group_of.get(edge.before) == group_of.get(task):
                before = least[edge.before]
                starts.append(ends[edge.before] - before * edge.from_start + _wait(network, edge, before, lengths))
        ends[task] = max(starts) + least[task]
    return [-(-max(ends[task] for task in group.tasks) // max(lengths)) for group in network.aim.groups]


def _least_ticks(network: Network, shapes: Shapes, task: int, lengths: list[int]) -> int:
    if network.tasks[task].ends is not None:
        return shapes.shortest(task) * min(lengths)
    return min((mode.ticks for mode in network.tasks[task].modes), default=0)


def _wait(network: Network, edge: Edge, least: int, lengths: list[int]) -> int:
    """The ticks that a link takes at the least, whenever it begins to count; `least` ticks before it does."""
    if edge.table is None:
        return 0
    since = min([network.first, *(task.fixed for task in network.tasks if task.fixed is not None)])
    since += not edge.from_start and least > 0
    waits = (to - at for at, to in enumerate(edge.table) if since <= at and to < network.horizon)
    return max(0, min(waits, default=0)) * min(lengths)


def least_flow(network: Network, shapes: Shapes) -> int:
    """A flow no schedule beats."""
    ends = earliest_ends(network, shapes)
    total = sum(weight * end for weight, end in zip(network.aim.end_weights, ends, strict=False))
    for group, stretch in zip(network.aim.groups, least_stretches(network, shapes), strict=True):
        total += group.finish_weight * max(ends[task] for task in group.tasks) + group.span_weight * stretch
    return total


def least_flow_beyond(network: Network, shapes: Shapes, horizon: int) -> int:
    """A flow no schedule beats in which some job ends after session `horizon`."""
    ends = earliest_ends(network, shapes)
    late = (group.finish_weight * (horizon + 1 - max(ends[task] for task in group.tasks)) for group in network.aim.groups)
    return least_flow(network, shapes) + max(0, min(late, default=0))

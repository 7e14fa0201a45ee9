"""How good a schedule can be at most, without solving: every task as early as what it waits for allows."""

from jobs.core.planning.network import Network
from jobs.core.planning.priorities import topological
from jobs.core.planning.profile import lowest, span_mask
from jobs.core.planning.shapes import Shapes


def earliest_ends(network: Network, shapes: Shapes) -> list[int]:
    """The session past the last of each task if there were always enough people."""
    starts, ends, first_sessions, end_sessions = ([0] * len(network.tasks) for _ in range(4))
    for task in topological(network):
        ready = max(
            [network.bounds[network.tasks[task].earliest]]
            + [_ready(network, edge, starts, ends, first_sessions, end_sessions) for edge in network.edges_into[task]]
        )
        starts[task], ends[task] = _span(network, shapes, task, ready)
        first_sessions[task], end_sessions[task] = network.session_of(starts[task]), network.end_session(ends[task])
    return end_sessions


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


def least_flow(network: Network, shapes: Shapes) -> int:
    """A flow no schedule beats."""
    ends = earliest_ends(network, shapes)
    total = sum(weight * end for weight, end in zip(network.aim.end_weights, ends, strict=False))
    return total + sum(group.finish_weight * max(ends[task] for task in group.tasks) for group in network.aim.groups)


def least_flow_beyond(network: Network, shapes: Shapes, horizon: int) -> int:
    """A flow no schedule beats in which some job ends after session `horizon`."""
    ends = earliest_ends(network, shapes)
    late = (group.finish_weight * (horizon + 1 - max(ends[task] for task in group.tasks)) for group in network.aim.groups)
    return least_flow(network, shapes) + max(0, min(late, default=0))

"""Right justification: place every task of a schedule as late as its job's finish allows, and read off the order."""

from jobs.core.planning.network import Network, Placed, Schedule
from jobs.core.planning.profile import Mask, Profile, runs, span_mask
from jobs.core.planning.shapes import Shapes


def late_order(network: Network, shapes: Shapes, schedule: Schedule) -> list[float] | None:
    """Ranks by start once everything is pushed late; None when something fits nowhere late.

    Clashes, fractions of sessions and what runs inside what are left to the pass that uses the order.
    """
    profile, starts = Profile(network, shapes.room), [0] * len(schedule)
    finish = _finishes(network, schedule)
    for task in sorted(range(len(schedule)), key=lambda task: (schedule[task].end, schedule[task].first), reverse=True):
        first = _latest(network, shapes, profile, task, schedule[task], _last_end(network, task, starts, finish))
        if first is None:
            return None
        starts[task] = first
    return [float(first) for first in starts]


def _finishes(network: Network, schedule: Schedule) -> list[int]:
    finish = [network.horizon] * len(schedule)
    for group in network.aim.groups:
        end = max(schedule[task].end for task in group.tasks)
        for task in group.tasks:
            finish[task] = end
    return finish


def _last_end(network: Network, task: int, starts: list[int], finish: list[int]) -> int:
    ends = (edge.latest(starts[edge.after]) for edge in network.edges_out[task] if not edge.from_start)
    return min(ends, default=finish[task])


def _latest(network: Network, shapes: Shapes, profile: Profile, task: int, placed: Placed, last_end: int) -> int | None:
    """The latest start with the same mode, its resources then taken."""
    the_task, length = network.tasks[task], placed.end - placed.held_from
    if the_task.ends is not None or the_task.fixed is not None or the_task.running_in:
        return min(placed.first, max(0, last_end - length)) if the_task.fixed is None else placed.first
    mode = the_task.modes[placed.mode]
    starts = _starts(shapes, profile.fits(mode) if length else profile.every, task, length)
    starts &= span_mask(0, max(0, last_end - length + 1))
    if not starts:
        return None
    first = starts.bit_length() - 1
    profile.take(mode, first, first + length)
    return first


def _starts(shapes: Shapes, room: Mask, task: int, length: int) -> Mask:
    return runs(room, length) & shapes.allowed(task, length)

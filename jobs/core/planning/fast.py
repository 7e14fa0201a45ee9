"""The fast pass: many schedules from simple priorities, the best of them made better for a moment."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from random import Random

from jobs.core.planning import priorities
from jobs.core.planning.generation import Order
from jobs.core.planning.network import Group, Network
from jobs.core.planning.order_search import Found, OrderSearch, attempt
from jobs.core.planning.shapes import Shapes

TASKS_PLACED = 800
"""Work of the search after the priorities: tasks placed, over all its schedules."""

MENDS = 2
"""How often jobs are let go at most, from the best so far."""

REPAIR = 3
"""So many times that work again at most, as long as something is broken."""


def fast_schedule(
    network: Network, shapes: Shapes | None = None, tasks_placed: int = TASKS_PLACED, known: Iterable[Order] = ()
) -> Found | None:
    """A good schedule at once, always the same for the same network; None when the work does not fit the calendar.

    `known`: orders of schedules made before, to begin from where they are best.
    """
    shapes = shapes or Shapes(network)
    start = _start(network, shapes, known)
    if start is None:
        return None
    search = OrderSearch(network, shapes, start, Random(1))
    found = search.run(tasks_placed // max(1, len(network.tasks)))
    return (
        search.run(REPAIR * tasks_placed // max(1, len(network.tasks)), lambda: not search.best.misfit) if found.misfit else found
    )


def _start(network: Network, shapes: Shapes, known: Iterable[Order]) -> Found | None:
    """The best of the known orders, mended; where none of them keeps everything, of the priorities too."""
    best = _best(attempt(network, shapes, order) for order in known)
    if best is not None and not best.misfit:
        return _mended(network, shapes, best)
    return _best([best, *(attempt(network, shapes, order) for order in priorities.orders(network, shapes))])


def _mended(network: Network, shapes: Shapes, best: Found) -> Found:
    """A plan made before in which fewer dates move that somebody counts on, as long as letting a job go brings that."""
    for _ in range(MENDS):
        before = best
        if any(before.score[:-1]):
            best = _best([before, *(attempt(network, shapes, order) for order in _giving_way(network, before))])
        if best is before:
            break
    return best


def _best(found: Iterable[Found | None]) -> Found | None:
    return min((one for one in found if one is not None), key=lambda one: one.worth, default=None)


def _giving_way(network: Network, found: Found) -> Iterator[Order]:
    """What would be late first, and of the starts held those of one job let go, each job in turn."""
    late = [group for group in network.aim.groups if group.due is not None and _end(found, group) > group.due]
    urgent = {task for group in late for task in group.tasks}
    first = min(found.order.rank, default=0.0) - network.bounds[-1] - 1
    rank = [first + at if task in urgent else at for task, at in enumerate(found.order.rank)]
    for group in network.aim.groups:
        let_go = urgent.union(group.tasks)
        holds = {task: at for task, at in found.order.holds.items() if task not in let_go}
        yield replace(found.order, rank=rank, holds=holds)


def _end(found: Found, group: Group) -> int:
    return max(found.schedule[task].end for task in group.tasks)

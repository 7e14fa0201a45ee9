"""Orders in which to place tasks: how urgent each is, from how much work and waiting must follow it."""

from collections.abc import Iterator

from jobs.core.planning.generation import Order
from jobs.core.planning.network import Network, Schedule
from jobs.core.planning.shapes import Shapes

THRIFTS = (0.05, 0.1, 0.2, 0.3, 0.5)
"""Ticks of ending early that a person-tick is worth: without it every package takes the biggest crew and the others wait."""

FIRST_THRIFTS = (0.1, 0.3)
"""Those tried for all tasks at once."""


def latest_starts(network: Network, shapes: Shapes, from_due: bool) -> list[int]:
    """By when each task must start for its job to end in time (`from_due`), or all jobs together; may be negative."""
    horizon = network.horizon
    latest = [horizon] * len(network.tasks)
    if from_due:
        for group in network.aim.groups:
            for task in group.tasks:
                latest[task] = group.due if group.due is not None else horizon
    for task in reversed(topological(network)):
        for edge in network.edges_out[task]:
            if not edge.from_start:
                latest[task] = min(latest[task], edge.latest(max(0, latest[edge.after])))
        if network.tasks[task].fixed is not None:
            latest[task] = network.tasks[task].fixed
        else:
            latest[task] -= shapes.shortest(task)
    return latest


def topological(network: Network) -> list[int]:
    """Tasks with each after those it waits for."""
    order, waits = [], [len(tasks) for tasks in network.waits_for]
    ready = [task for task, count in enumerate(waits) if count == 0]
    while ready:
        order.append(ready.pop())
        for after in network.releases[order[-1]]:
            waits[after] -= 1
            if waits[after] == 0:
                ready.append(after)
    return order


def ranks(network: Network, shapes: Shapes, is_bound: bool = False) -> Iterator[list[float]]:
    """Several priorities worth trying; fewer when starts are wished for, since each then takes several rounds."""
    by_due, by_tail = latest_starts(network, shapes, True), latest_starts(network, shapes, False)
    yield [float(start) for start in by_due]
    yield [float(start) for start in by_tail]
    yield from (_job_by_job(network, by_tail, order) for order in _job_orders(network, by_due, by_tail, is_bound))
    yield [start - 3.0 * len(network.releases[task]) for task, start in enumerate(by_tail)]


def _job_orders(network: Network, by_due: list[int], by_tail: list[int], is_bound: bool) -> Iterator[list[int]]:
    """Jobs in order: the least work first, the most urgent first, the longest chain first."""
    groups = range(len(network.aim.groups))
    if len(groups) < 2:
        return
    work = [sum(_least_work(network, task) for task in group.tasks) for group in network.aim.groups]
    yield sorted(groups, key=lambda g: work[g])
    if is_bound:
        return
    yield sorted(groups, key=lambda g: min(by_due[task] for task in network.aim.groups[g].tasks))
    yield sorted(groups, key=lambda g: min(by_tail[task] for task in network.aim.groups[g].tasks))


def _least_work(network: Network, task: int) -> int:
    return min(mode.ticks * sum(mode.demands) for mode in network.tasks[task].modes)


def _job_by_job(network: Network, latest: list[int], order: list[int]) -> list[float]:
    ranked = [0.0] * len(network.tasks)
    for position, group in enumerate(order):
        for task in network.aim.groups[group].tasks:
            ranked[task] = position * 2.0 * network.horizon + latest[task]
    return ranked


def by_start(schedule: Schedule) -> list[float]:
    """The order of a schedule made before."""
    return [placed.start_tick + placed.end_tick / 1e6 for placed in schedule]


def orders(network: Network, shapes: Shapes) -> Iterator[Order]:
    """Every priority with some thrifts; where starts were told, with those kept first, and then without."""
    wished = dict(sorted({**network.aim.week, **network.aim.told}.items(), key=lambda pair: pair[1]))
    has_choice = any(len(task.modes) > 1 for task in network.tasks)
    for rank in ranks(network, shapes, bool(wished)):
        for thrift in FIRST_THRIFTS if has_choice else FIRST_THRIFTS[:1]:
            yield Order(rank, (thrift,) * len(network.tasks), wished)
    if wished:
        yield Order(rank, (FIRST_THRIFTS[-1],) * len(network.tasks))

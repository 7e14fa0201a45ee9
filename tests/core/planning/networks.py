"""Networks without calendars: one tick a session, constant capacity, makespan as the aim."""

from jobs.core.planning.network import Aim, Edge, Group, Mode, Network, Schedule, Task


def project(
    lengths: list[int], demands: list[tuple[int, ...]], capacity: tuple[int, ...], pairs: list[tuple[int, int]]
) -> Network:
    """A resource-constrained project: tasks with a length and demands, pairs (before, after)."""
    horizon = sum(lengths) + 1
    return Network(
        bounds=tuple(range(horizon + 1)),
        days=tuple(range(horizon)),
        tasks=tuple(Task(str(n), modes=(Mode(*task),)) for n, task in enumerate(zip(lengths, demands, strict=True))),
        edges=tuple(Edge(before, after) for before, after in pairs),
        capacity=tuple((most,) * horizon for most in capacity),
        aim=Aim((Group(tuple(range(len(lengths)))),), end_weights=(0,) * len(lengths)),
    )


def is_kept(network: Network, schedule: Schedule) -> bool:
    """Whether a schedule keeps precedence and capacity, counted session by session."""
    in_order = all(schedule[edge.after].first >= schedule[edge.before].end for edge in network.edges)
    return in_order and all(
        sum(task.modes[0].demands[r] for task, at in zip(network.tasks, schedule, strict=True) if at.first <= s < at.end)
        <= row[s]
        for r, row in enumerate(network.capacity)
        for s in range(network.horizon)
    )

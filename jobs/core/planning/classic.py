"""The classic resource-constrained project as a network: fixed durations, constant resources, finish soonest.

One tick a session, one mode a task, one group, nothing told and nothing due: what is left of the firm's
problem once houses, people and calendars are taken away. Published instances of it have best-known finishes.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from jobs.core.planning import fast
from jobs.core.planning.network import Aim, Edge, Group, Mode, Network, Task
from jobs.core.planning.shapes import Shapes


@dataclass(frozen=True)
class Project:
    """Activities by number: `durations`, `demands[activity][resource]` while it runs, and the activities after it."""

    durations: tuple[int, ...]
    demands: tuple[tuple[int, ...], ...]
    successors: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]


@dataclass(frozen=True)
class Answer:
    """A start for each activity, when all are finished, and a finish that no schedule beats."""

    starts: tuple[int, ...]
    finish: int
    bound: int

    @property
    def is_optimal(self) -> bool:
        """Whether it is proven that nothing finishes sooner."""
        return self.finish == self.bound


def network(project: Project) -> Network:
    """The project as a network, on a calendar long enough to do everything in a row."""
    horizon = sum(project.durations) + 1
    return Network(
        bounds=tuple(range(horizon + 1)),
        days=tuple(range(horizon)),
        tasks=tuple(
            Task(str(number), modes=(Mode(ticks, demands),))
            for number, (ticks, demands) in enumerate(zip(project.durations, project.demands, strict=True))
        ),
        edges=tuple(Edge(before, after) for before, some in enumerate(project.successors) for after in some),
        capacity=tuple((capacity,) * horizon for capacity in project.capacities),
        aim=Aim((Group(tuple(range(len(project.durations)))),)),
    )


def is_classic(network: Network) -> bool:
    """Whether a network is of this kind."""
    return (
        all(after - before == 1 for before, after in pairwise(network.bounds))
        and all(_is_plain(task) for task in network.tasks)
        and all(edge.table is None and not edge.from_start for edge in network.edges)
        and all(len(set(row)) <= 1 for row in network.capacity)
        and not (network.insides or network.clashes or network.carry_pairs)
        and network.aim == Aim((Group(tuple(range(len(network.tasks)))),))
    )


def _is_plain(task: Task) -> bool:
    return task == Task(task.key, task.group, task.modes) and len(task.modes) == 1


def solve(
    project: Project,
    *,
    seconds: float = 5.0,
    workers: int = 2,
    random_seed: int = 1,
    is_deterministic: bool = False,
    should_stop: Callable[[], bool] | None = None,
) -> Answer | None:
    """The best schedule found within `seconds`, as `improve_plan` finds it; None when an activity takes more than there is."""
    if not project.durations:
        return Answer((), 0, 0)
    its_network = network(project)
    shapes = Shapes(its_network)
    seed = fast.fast_schedule(its_network, shapes)
    if seed is None:
        return None
    from jobs.core.planning.solver import solve as solver
    from jobs.core.planning.solver.settings import Settings

    watch = solver.Watch(should_stop=should_stop or (lambda: False))
    settings = Settings(seconds, workers, random_seed, is_deterministic)
    state = solver.solve(its_network, shapes, seed, settings, watch)
    return Answer(tuple(placed.first for placed in state.schedule), state.score[-1], state.bound[-1])

"""The planner's engine sees only this: tasks with modes on cumulative resources, edges, clashes and an aim.

Time is counted twice. Sessions number half working days; ticks are a finer working clock, and
`bounds[s]` is the tick at which session s begins. A task starts at the start of a session, or carries
straight on from another task of its group within the session that one ends in (same people, same
site); then it takes no resources in that session. A task holds its resources for every other session
it touches.

With one tick a session, one mode a task and constant capacity this is the classic
resource-constrained project scheduling problem.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple


@dataclass(frozen=True)
class Mode:
    """One way to do a task: working ticks, and how much it takes of each resource in a session."""

    ticks: int
    demands: tuple[int, ...] = ()

    @cached_property
    def needs(self) -> tuple[tuple[int, int], ...]:
        """(resource, demand) of those it takes anything of."""
        return tuple((resource, demand) for resource, demand in enumerate(self.demands) if demand)

    @cached_property
    def effort(self) -> int:
        """Ticks times everything taken: what a crew costs the others."""
        return self.ticks * sum(self.demands)


@dataclass(frozen=True)
class Task:
    """One activity, or one part of a long one.

    `group`: the site. `starts`: sessions it may start in (None: any). `fixed`: the session it must start
    in. `running_in`: sessions it must be running in. `ends`: for work that keeps whole sessions whatever
    its ticks (other trades), the session after its last, by start session.
    """

    key: str
    group: str = ""
    modes: tuple[Mode, ...] = (Mode(0),)
    earliest: int = 0
    starts: frozenset[int] | None = None
    fixed: int | None = None
    running_in: frozenset[int] = frozenset()
    must_close_same_day: bool = False
    ends: tuple[int, ...] | None = None


@dataclass(frozen=True)
class Edge:
    """`after` starts no earlier than `before` allows.

    Without a table, `after` starts once `before` has ended (or, `from_start`, started), to the tick. With a
    table it starts no earlier than session `table[e]`, where e is the session after `before`'s last (or its first).
    """

    before: int
    after: int
    table: tuple[int, ...] | None = None
    from_start: bool = False

    def earliest(self, first: int, end: int) -> int:
        """The first session `after` may start in, given the first and past-the-last session of `before`."""
        at = first if self.from_start else end
        return at if self.table is None else self.table[min(at, len(self.table) - 1)]

    def latest(self, start: int) -> int:
        """The largest first (or past-the-last) session of `before` that lets `after` start in `start`."""
        return start if self.table is None else bisect_right(self.table, start) - 1


@dataclass(frozen=True)
class Inside:
    """`child` ends no later than `host` does, or, with `starts_only`, starts no later than in its last session.

    An edge from the host's start keeps the other side.
    """

    host: int
    child: int
    starts_only: bool = False


@dataclass(frozen=True)
class Group:
    """The tasks of one job and what is wanted of them: finish early, in a short stretch, before session `due`."""

    tasks: tuple[int, ...]
    finish_weight: int = 1
    span_weight: int = 0
    due: int | None = None


@dataclass(frozen=True)
class Aim:
    """What to make small, in this order: lateness, told starts moved, coming week's starts moved, flow.

    `kept`: starts of a plan made before, each worth `kept_weight` of flow.
    """

    groups: tuple[Group, ...]
    told: Mapping[int, int] = field(default_factory=dict)
    week: Mapping[int, int] = field(default_factory=dict)
    end_weights: tuple[int, ...] = ()
    kept: Mapping[int, int] = field(default_factory=dict)
    kept_weight: int = 0


@dataclass(frozen=True)
class Network:
    """`capacity[r][s]`: what there is of resource r in session s. `clashes`: pairs that never overlap.

    `carry_pairs[a, b]`: the (mode of a, mode of b) with which b may carry straight on from a with a's people.
    """

    bounds: tuple[int, ...]
    days: tuple[int, ...]
    tasks: tuple[Task, ...]
    edges: tuple[Edge, ...]
    capacity: tuple[tuple[int, ...], ...]
    aim: Aim
    insides: tuple[Inside, ...] = ()
    clashes: tuple[tuple[int, int], ...] = ()
    carry_pairs: Mapping[tuple[int, int], frozenset[tuple[int, int]]] = field(default_factory=dict)
    first: int = 0

    @cached_property
    def horizon(self) -> int:
        """How many sessions the calendar has."""
        return len(self.bounds) - 1

    @cached_property
    def is_work_bound(self) -> bool:
        """Whether some work that takes resources is fixed from outside."""
        return any((task.fixed is not None or task.running_in) and task.ends is None for task in self.tasks)

    @cached_property
    def can_be_broken(self) -> bool:
        """Whether placing in order can break anything: something is fixed, or must fall inside something else."""
        return bool(self.insides) or self.is_work_bound or any(task.fixed is not None for task in self.tasks)

    @cached_property
    def edges_into(self) -> tuple[tuple[Edge, ...], ...]:
        """For each task the edges to what it waits for."""
        return _by(self.edges, lambda edge: edge.after, len(self.tasks))

    @cached_property
    def edges_out(self) -> tuple[tuple[Edge, ...], ...]:
        """For each task the edges to what waits for it."""
        return _by(self.edges, lambda edge: edge.before, len(self.tasks))

    @cached_property
    def starts_inside(self) -> frozenset[tuple[int, int]]:
        """(host, child) where the child need only start inside."""
        return frozenset((inside.host, inside.child) for inside in self.insides if inside.starts_only)

    @cached_property
    def children(self) -> dict[int, tuple[int, ...]]:
        """Each host with what runs inside it."""
        hosts = dict.fromkeys(inside.host for inside in self.insides)
        return {host: tuple(i.child for i in self.insides if i.host == host) for host in hosts}

    @cached_property
    def clashes_of(self) -> dict[int, tuple[int, ...]]:
        """Each task with those that must not overlap it."""
        found: dict[int, tuple[int, ...]] = {}
        for a, b in self.clashes:
            found[a] = (*found.get(a, ()), b)
            found[b] = (*found.get(b, ()), a)
        return found

    @cached_property
    def carriers_of(self) -> dict[int, tuple[int, ...]]:
        """Each task with those it may carry straight on from."""
        found: dict[int, tuple[int, ...]] = {}
        for a, b in self.carry_pairs:
            found[b] = (*found.get(b, ()), a)
        return found

    @cached_property
    def host_of(self) -> dict[int, int]:
        """Each child with the host it is placed together with (the first named, should it have two)."""
        return {inside.child: inside.host for inside in reversed(self.insides)}

    @cached_property
    def waits_for(self) -> tuple[frozenset[int], ...]:
        """Tasks to place before each task; a host also waits for what its children wait for."""
        before = [{edge.before for edge in edges} for edges in self.edges_into]
        for child, host in self.host_of.items():
            siblings = {other for other, its in self.host_of.items() if its == host}
            before[host] |= before[child] - siblings - {host}
        return tuple(frozenset(tasks) for tasks in before)

    @cached_property
    def releases(self) -> tuple[tuple[int, ...], ...]:
        """Each task with those that wait for it."""
        found: list[list[int]] = [[] for _ in self.tasks]
        for task, waited in enumerate(self.waits_for):
            for other in waited:
                found[other].append(task)
        return tuple(tuple(tasks) for tasks in found)

    def session_of(self, tick: int) -> int:
        """The session a tick falls in."""
        return bisect_right(self.bounds, tick) - 1

    def end_session(self, tick: int) -> int:
        """The session after the last one worked, for work that ends at `tick`."""
        return bisect_left(self.bounds, tick)


def _by(edges, key, count) -> tuple[tuple[Edge, ...], ...]:
    lists: list[list[Edge]] = [[] for _ in range(count)]
    for edge in edges:
        lists[key(edge)].append(edge)
    return tuple(tuple(some) for some in lists)


class Placed(NamedTuple):
    """A task in a schedule. `first` and `end` are sessions (`end` past the last), the ticks are exact.

    `host`: the task it carries on from in its first session.
    """

    first: int
    end: int
    start_tick: int
    end_tick: int
    mode: int = 0
    host: int | None = None

    @property
    def held_from(self) -> int:
        """The first session in which it takes resources."""
        return self.first if self.host is None else self.first + 1


Schedule = tuple[Placed, ...]


def flow(network: Network, schedule: Schedule) -> int:
    """The smallest part of the aim: weighted ends, job finishes and job stretches, in sessions, and starts moved."""
    total = network.aim.kept_weight * _moved(network.aim.kept, schedule)
    total += sum(weight * placed.end for weight, placed in zip(network.aim.end_weights, schedule, strict=False))
    for group in network.aim.groups:
        finish = max(schedule[task].end for task in group.tasks)
        begin = min(schedule[task].first for task in group.tasks)
        total += group.finish_weight * finish + group.span_weight * (finish - begin)
    return total


def score(network: Network, schedule: Schedule) -> tuple[int, int, int, int]:
    """(late sessions, told starts moved, coming week's starts moved, flow); smaller is better, in this order."""
    late = sum(
        max(0, max(schedule[task].end for task in group.tasks) - group.due)
        for group in network.aim.groups
        if group.due is not None
    )
    return (late, _moved(network.aim.told, schedule), _moved(network.aim.week, schedule), flow(network, schedule))


def _moved(wanted: Mapping[int, int], schedule: Schedule) -> int:
    return sum(schedule[task].first != session for task, session in wanted.items())

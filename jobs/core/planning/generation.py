"""Schedule generation: place tasks one by one, each where it ends soonest, in the order of a priority.

Whatever the order, every precedence, capacity, clash and calendar is kept; only starts that are fixed
from outside may break something, which `rules` then reports.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from heapq import heapify, heappop, heappush

from jobs.core.planning.network import Edge, Network, Placed, Schedule
from jobs.core.planning.placing import Board, Window, loosened
from jobs.core.planning.shapes import Shapes


class DoesNotFitError(Exception):
    """A task finds no room before the last session."""

    def __init__(self, task: int) -> None:
        super().__init__(task)
        self.task = task


class TooLateError(Exception):
    """A task comes too late in the order to find room before what is fixed after it."""

    def __init__(self, task: int) -> None:
        super().__init__(task)
        self.task = task


class HoldsTooMuchError(Exception):
    """A task finds no room because of starts that were only wished for."""

    def __init__(self, holds: frozenset[int]) -> None:
        super().__init__(holds)
        self.holds = holds


@dataclass(frozen=True)
class Order:
    """How to place: smaller `rank` first; a task's `thrift` weighs person-ticks against ending early when choosing its mode.

    `holds`: tasks put at a wished start before all others. `modes`: those to take unless another ends a session sooner.
    """

    rank: Sequence[float]
    thrift: Sequence[float]
    holds: Mapping[int, int] = field(default_factory=dict)
    modes: Mapping[int, int] = field(default_factory=dict)


MOST_HURRIED = 6
"""So many tasks at most are brought forward in one order."""


def generate(network: Network, shapes: Shapes, order: Order) -> Schedule:
    """One schedule. What finds no room before something fixed comes first instead; wished starts in its way are dropped.

    DoesNotFitError when something finds no room before the last session.
    """
    hurried: set[int] = set()
    while True:
        try:
            return _Generation(network, shapes, order, hurried).run()
        except HoldsTooMuchError as error:
            order = replace(order, holds={task: s for task, s in order.holds.items() if task not in error.holds})
        except TooLateError as error:
            hurried.add(error.task)
            order = replace(order, rank=_first(network, order.rank, error.task))


def _first(network: Network, rank: Sequence[float], task: int) -> list[float]:
    """The order with a task, and what it waits for, before all others."""
    chain, found = {task}, [task]
    while found:
        more = network.waits_for[found.pop()] - chain
        chain |= more
        found += more
    reach = max(rank) - min(rank) + 1
    return [at - reach if number in chain else at for number, at in enumerate(rank)]


class _Generation:
    """`hurried`: tasks brought forward already."""

    def __init__(self, network: Network, shapes: Shapes, order: Order, hurried: Set[int] = frozenset()) -> None:
        self.network, self.order, self.hurried = network, order, hurried
        self.board = Board(network, shapes)
        self.held: set[int] = set()

    def run(self) -> Schedule:
        self._place_wanted()
        waits = [len(tasks) for tasks in self.network.waits_for]
        ready = [self._entry(task) for task, count in enumerate(waits) if count == 0 and self._comes_alone(task)]
        heapify(ready)
        while ready:
            for done in self._place(heappop(ready)[1]):
                for after in self.network.releases[done]:
                    waits[after] -= 1
                    if waits[after] == 0 and self._comes_alone(after):
                        heappush(ready, self._entry(after))
        return tuple(self.board.placed)

    def _entry(self, task: int) -> tuple[float, int]:
        return self.order.rank[task], task

    def _comes_alone(self, task: int) -> bool:
        return task not in self.network.host_of

    def _place_wanted(self) -> None:
        tasks = self.network.tasks
        bound = [t for t, task in enumerate(tasks) if task.fixed is not None or task.running_in]
        for task in bound:
            self.board.settle(task, self.board.search(task, self.board.window(task)) or self._forced(task))
        for task, session in self.order.holds.items():
            placed = self._held(task, session) if self.board.placed[task] is None else None
            if placed is not None:
                self.held.add(task)
                self.board.settle(task, placed)

    def _forced(self, task: int) -> Placed:
        placed = self.board.forced(task)
        if placed is None:
            raise DoesNotFitError(task)
        return placed

    def _held(self, task: int, session: int) -> Placed | None:
        window = self.board.window(task)
        return self._search(task, window._replace(ready=max(window.ready, session), latest_first=session))

    def _search(self, task: int, window: Window) -> Placed | None:
        return self.board.search(task, window, self.order.thrift[task], self.order.modes.get(task))

    def _place(self, task: int) -> list[int]:
        """Place a task with everything that belongs inside it; return them all."""
        board, own = self.board, self._own_children(task)
        open_children = [child for child in own if board.placed[child] is None]
        if board.placed[task] is None and not (open_children and self._place_around(task, open_children)):
            board.settle(task, self._best(task))
        for child in own:
            if board.placed[child] is None:
                board.settle(child, self._best(child))
        return [task, *own]

    def _own_children(self, host: int) -> list[int]:
        own = [child for child in self.network.children.get(host, ()) if self.network.host_of[child] == host]
        return sorted(own, key=lambda child: sum(edge.before in own for edge in self.network.edges_into[child]))

    def _place_around(self, host: int, children: list[int]) -> bool:
        """Place a host and its children at the first start where all of them fit."""
        window = self.board.window(host)._replace(at_least=self._least_length(host, children))
        before = self.board.snapshot()
        while True:
            placed = self._search(host, window)
            if placed is None:
                return False
            self.board.settle(host, placed)
            if self._settle_inside(children):
                return True
            self.board.restore(before)
            before = self.board.snapshot()
            window = window._replace(ready=placed.first + 1)

    def _least_length(self, host: int, children: list[int]) -> int:
        whole = (c for c in children if self._is_wholly_inside(host, c))
        return max((self.board.shapes.shortest(child) for child in whole), default=0)

    def _is_wholly_inside(self, host: int, child: int) -> bool:
        begins_with_host = any(edge.before == host and edge.from_start for edge in self.network.edges_into[child])
        return begins_with_host and (host, child) not in self.network.starts_inside

    def _settle_inside(self, children: list[int]) -> bool:
        for child in children:
            found = self._search(child, self.board.window(child))
            if found is None:
                return False
            self.board.settle(child, found)
        return True

    def _best(self, task: int) -> Placed:
        """The best place; when there is none, whoever only wished for theirs gives way, then the rules tell."""
        window = self.board.window(task)
        found = self._search(task, window)
        if found is not None:
            return found
        self._give_way(task, window)
        found = self._search(task, loosened(window, self.board))
        if found is None:
            raise DoesNotFitError(task)
        return found

    def _give_way(self, task: int, window: Window) -> None:
        """Wished starts of what follows the task or runs with it go first; then the task hurries; then what is in its room."""
        near = {task, self.network.host_of.get(task, task)}
        near |= {edge.after for one in near for edge in self.network.edges_out[one]} | set(self.network.children.get(task, ()))
        if near & self.held:
            raise HoldsTooMuchError(frozenset(near & self.held | self._pushed(task, window)))
        if task not in self.hurried and len(self.hurried) < MOST_HURRIED:
            raise TooLateError(task)
        if between := self._held_between(window.ready, window.latest_end):
            raise HoldsTooMuchError(between)

    def _pushed(self, task: int, window: Window) -> set[int]:
        """Wished starts that cannot be once the task is where there is room, each pushing on what waits for it."""
        found = self._search(task, loosened(window, self.board))
        ends = {task: found.end} if found else {}
        waiting = list(ends)
        while waiting:
            before = waiting.pop()
            for edge in self.network.edges_out[before]:
                end = self._pushed_end(edge, ends[before])
                if end > ends.get(edge.after, 0):
                    ends[edge.after] = end
                    waiting.append(edge.after)
        return ends.keys() & self.held - {task}

    def _pushed_end(self, edge: Edge, end: int) -> int:
        """Where the task after an edge ends at the soonest, when that is later than where it was put; else 0."""
        earliest = end - 1 if edge.table is None else edge.table[min(end, len(edge.table) - 1)]
        placed = self.board.placed[edge.after]
        if edge.from_start or (placed is not None and placed.first >= earliest):
            return 0
        return earliest + (self.board.shapes.shortest(edge.after) if placed is None else placed.end - placed.first)

    def _held_between(self, first: int, end: int) -> frozenset[int]:
        placed = self.board.placed
        return frozenset(task for task in self.held if placed[task].first < end and placed[task].end > first)

"""Schedule generation: place tasks one by one, each where it ends soonest, in the order of a priority.

Whatever the order, every precedence, capacity, clash and calendar is kept; only starts that are fixed
from outside may break something, which `rules` then reports.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from heapq import heapify, heappop, heappush

from jobs.core.planning.network import Network, Placed, Schedule
from jobs.core.planning.placing import Board, loosened
from jobs.core.planning.shapes import Shapes


class DoesNotFitError(Exception):
    """A task finds no room before the last session."""

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

    `holds`: tasks put at a wished start before all others.
    """

    rank: Sequence[float]
    thrift: Sequence[float]
    holds: Mapping[int, int] = field(default_factory=dict)


def generate(network: Network, shapes: Shapes, order: Order) -> Schedule:
    """One schedule. Wished starts that leave no room for what comes before them are dropped.

    DoesNotFitError when something finds no room before the last session.
    """
    holds = dict(order.holds)
    while True:
        try:
            return _Generation(network, shapes, replace(order, holds=holds)).run()
        except HoldsTooMuchError as error:
            holds = {task: session for task, session in holds.items() if task not in error.holds}


class _Generation:
    def __init__(self, network: Network, shapes: Shapes, order: Order) -> None:
        self.network, self.order = network, order
        self.board = Board(network, shapes)

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
            if self.board.placed[task] is None:
                self.board.settle(task, self._held(task, session))

    def _forced(self, task: int) -> Placed:
        placed = self.board.forced(task)
        if placed is None:
            raise DoesNotFitError(task)
        return placed

    def _held(self, task: int, session: int) -> Placed:
        window = self.board.window(task)
        found = self.board.search(
            task, window._replace(ready=max(window.ready, session), latest_first=session), self.order.thrift[task]
        )
        if found is None:
            raise HoldsTooMuchError(frozenset({task}))
        return found

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
            placed = self.board.search(host, window, self.order.thrift[host])
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
            found = self.board.search(child, self.board.window(child), self.order.thrift[child])
            if found is None:
                return False
            self.board.settle(child, found)
        return True

    def _best(self, task: int) -> Placed:
        """The best place; when there is none, whoever only wished for theirs gives way, then the rules tell."""
        window = self.board.window(task)
        found = self.board.search(task, window, self.order.thrift[task])
        if found is not None:
            return found
        if self.order.holds:
            raise HoldsTooMuchError(self._in_the_way(task))
        found = self.board.search(task, loosened(window, self.board), self.order.thrift[task])
        if found is None:
            raise DoesNotFitError(task)
        return found

    def _in_the_way(self, task: int) -> frozenset[int]:
        """Wished starts around the task, or all of them when none is near."""
        near = {edge.after for edge in self.network.edges_out[task]} | set(self.network.children.get(task, ()))
        near |= {self.network.host_of[task]} if task in self.network.host_of else set()
        return frozenset(near & set(self.order.holds)) or frozenset(self.order.holds)

"""Sessions a task touches, from where it starts: what a number of ticks becomes on the firm's calendar."""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from jobs.core.planning.network import Network, Task
from jobs.core.planning.profile import Mask, empty_room, span_mask


@dataclass(frozen=True)
class Shape:
    """Started with any session of `starts`, work touches `sessions` sessions and leaves `spare` ticks of the last."""

    sessions: int
    spare: int
    starts: Mask


class Shapes:
    """Remembers, for each number of ticks, the shapes it can take on the network's sessions."""

    def __init__(self, network: Network) -> None:
        self._network = network
        self.room = empty_room(network)
        self._found: dict[int, tuple[Shape, ...]] = {}
        self._ways: dict[int, tuple[tuple[tuple[int, Mask], ...], ...]] = {}
        self._same_day: dict[int, Mask] = {}
        self._allowed: dict[tuple[int, int], Mask] = {}
        self.session_ticks = network.bounds[-1] / max(1, network.horizon)
        self._lengths = [after - before for before, after in pairwise(network.bounds)]

    def of(self, ticks: int) -> tuple[Shape, ...]:
        """The shapes so many ticks of work can take."""
        if ticks not in self._found:
            self._found[ticks] = self._work_out(ticks)
        return self._found[ticks]

    def _work_out(self, ticks: int) -> tuple[Shape, ...]:
        """Sessions of one length make one shape; else every start is looked at."""
        bounds, lengths = self._network.bounds, set(self._lengths)
        if len(lengths) == 1:
            length = lengths.pop()
            sessions = -(-ticks // length)
            return (Shape(sessions, sessions * length - ticks, span_mask(0, len(bounds) - sessions)),)
        starts: dict[tuple[int, int], Mask] = {}
        for first, begins in enumerate(bounds[:-1]):
            if begins + ticks <= bounds[-1]:
                end = max(first, self._network.end_session(begins + ticks))
                spare = bounds[end] - begins - ticks
                starts[end - first, spare] = starts.get((end - first, spare), 0) | 1 << first
        return tuple(Shape(sessions, spare, mask) for (sessions, spare), mask in starts.items())

    def ways(self, task: int) -> tuple[tuple[tuple[int, Mask], ...], ...]:
        """For each mode of a task, the numbers of sessions it may touch, each with where it may then start."""
        if task not in self._ways:
            self._ways[task] = tuple(self._ways_of(task, mode.ticks) for mode in self._network.tasks[task].modes)
        return self._ways[task]

    def _ways_of(self, task: int, ticks: int) -> tuple[tuple[int, Mask], ...]:
        return tuple((shape.sessions, shape.starts & self.allowed(task, shape.sessions)) for shape in self.of(ticks))

    def same_day(self, sessions: int) -> Mask:
        """Sessions from which so many sessions are all on one day."""
        if sessions not in self._same_day:
            days = self._network.days
            firsts = range(len(days) - max(0, sessions - 1))
            self._same_day[sessions] = sum(1 << s for s in firsts if days[s] == days[s + max(0, sessions - 1)])
        return self._same_day[sessions]

    def allowed(self, task: int, sessions: int) -> Mask:
        """Sessions in which a task touching so many may start, as far as it alone is concerned."""
        if (task, sessions) not in self._allowed:
            self._allowed[task, sessions] = self._work_out_allowed(self._network.tasks[task], sessions)
        return self._allowed[task, sessions]

    def _work_out_allowed(self, task: Task, sessions: int) -> Mask:
        mask = span_mask(task.earliest, self._network.horizon)
        if task.starts is not None:
            mask &= sum(1 << s for s in task.starts)
        if task.fixed is not None:
            mask &= 1 << task.fixed
        if task.must_close_same_day:
            mask &= self.same_day(sessions)
        for session in task.running_in:
            mask &= span_mask(max(0, session - sessions + 1), session + 1)
        return mask

    def shortest(self, task: int) -> int:
        """The fewest sessions a task can touch."""
        return self._shortest[task]

    @cached_property
    def _shortest(self) -> list[int]:
        return [
            min((end - first for first, end in enumerate(task.ends)), default=0)
            if task.ends is not None
            else min((shape.sessions for mode in task.modes for shape in self.of(mode.ticks)), default=0)
            for task in self._network.tasks
        ]

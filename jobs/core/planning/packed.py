"""Schedule generation for classic networks, many times faster than the general one.

What is taken of all resources in a session is one whole number, a field for each resource. A field begins
at what its capacity leaves of its largest value, so taking too much carries into the guard bit above it,
and one AND tells whether any resource runs short. In both directions: from the start, each activity as
early as can be; or from the finish, where `ends` count back from it.
"""

from collections.abc import Sequence
from functools import cached_property
from typing import NamedTuple

from jobs.core.planning.generation import Order
from jobs.core.planning.network import Network, Placed
from jobs.core.planning.order_search import Found, found_of
from jobs.core.planning.priorities import topological


class _Activity(NamedTuple):
    number: int
    length: int
    taken: int
    waits_for: tuple[int, ...]


class Packed:
    """The numbers of a classic network, ready for placing. `lengths`: sessions by task."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.lengths = [task.modes[0].ticks for task in network.tasks]
        capacity = [row[0] for row in network.capacity]
        width = max(capacity, default=0).bit_length() + 1
        self._guard = sum(1 << (width * place + width - 1) for place in range(len(capacity)))
        self._empty = sum((1 << (width - 1)) - 1 - most << width * place for place, most in enumerate(capacity))
        self._forwards = topological(network)
        self._backwards = self._forwards[::-1]
        before = [tuple(edge.before for edge in edges) for edges in network.edges_into]
        after = [tuple(edge.after for edge in edges) for edges in network.edges_out]
        taken = [self._packed(width, task) for task in range(len(network.tasks))]
        self._early = list(map(_Activity, range(len(taken)), self.lengths, taken, before))
        self._late = list(map(_Activity, range(len(taken)), self.lengths, taken, after))
        self._after = after
        self.tails = self._tails()
        self.loads = [self._load(task) for task in range(len(taken))]

    def _tails(self) -> list[int]:
        """Sessions that must follow each task's end."""
        tails = [0] * len(self.lengths)
        for task in self._backwards:
            tails[task] = max((self.lengths[after] + tails[after] for after in self._after[task]), default=0)
        return tails

    def _load(self, task: int) -> float:
        """What a task takes in a session, each resource as a share of what there is."""
        mode = self.network.tasks[task].modes[0]
        return sum(demand / row[0] for demand, row in zip(mode.demands, self.network.capacity, strict=True) if demand)

    @cached_property
    def least_finish(self) -> int:
        """A finish no schedule beats: of the longest chain, and of all the work on each resource."""
        longest = max((length + tail for length, tail in zip(self.lengths, self.tails, strict=True)), default=0)
        modes = [task.modes[0] for task in self.network.tasks]
        work = (sum(mode.ticks * mode.demands[place] for mode in modes) for place in range(len(self.network.capacity)))
        needed = (-(-amount // row[0]) for amount, row in zip(work, self.network.capacity, strict=True) if row[0])
        return max(longest, max(needed, default=0))

    def _packed(self, width: int, task: int) -> int:
        mode = self.network.tasks[task].modes[0]
        return sum(demand << width * place for place, demand in enumerate(mode.demands)) if mode.ticks else 0

    def late_then_early(self, wanted: Sequence[float]) -> list[int]:
        """Ends, everything first pushed late in the order of wanted ends, then early again."""
        wanted = list(wanted)
        for task in self._forwards:
            at = wanted[task]
            for after in self._after[task]:
                if wanted[after] < at:
                    wanted[after] = at
        return self._early_again(self._pushed_late(wanted))

    def _pushed_late(self, ends: Sequence[float]) -> list[int]:
        """Sessions from each task's start to the finish, everything as late as can be, the last to end first."""
        order = sorted(self._backwards, key=ends.__getitem__, reverse=True)
        return self._place([self._late[task] for task in order])

    def _early_again(self, tails: Sequence[int]) -> list[int]:
        """Ends, everything as early as can be, in the order of starts so far from the finish."""
        order = sorted(self._forwards, key=tails.__getitem__, reverse=True)
        return self._place([self._early[task] for task in order])

    def _place(self, activities: Sequence[_Activity]) -> list[int]:
        """Serial generation: each activity where it first fits; a misfit jumps behind the last session it fails in."""
        guard, used, ends = self._guard, [self._empty] * (sum(self.lengths) + 1), [0] * len(activities)
        for task, length, taken, waits_for in activities:
            first = 0
            for other in waits_for:
                if ends[other] > first:
                    first = ends[other]
            end = first + length
            if taken:
                session = end
                while session > first:
                    session -= 1
                    if used[session] + taken & guard:
                        first = session + 1
                        session = end = first + length
                while first < end:
                    used[first] += taken
                    first += 1
            ends[task] = end
        return ends

    def found(self, ends: Sequence[int]) -> Found:
        """The schedule that ends so, as the rest of the planner knows it."""
        firsts = [end - length for end, length in zip(ends, self.lengths, strict=True)]
        schedule = tuple(Placed(first, end, first, end) for first, end in zip(firsts, ends, strict=True))
        return found_of(self.network, schedule, Order(firsts, (0.0,) * len(ends)))

"""A schedule in the making: what is placed, what room is left, and where the next task can go."""

from typing import NamedTuple

from jobs.core.planning.network import Mode, Network, Placed
from jobs.core.planning.profile import Mask, Profile, lowest, runs, span_mask
from jobs.core.planning.shapes import Shapes


class Window(NamedTuple):
    """What a task must respect, from those placed so far.

    It starts no earlier than session `ready` and tick `ready_tick`, no later than `latest_first`, ends
    between `earliest_end` and `latest_end`, touches `at_least` so many sessions, and only `free` ones.
    """

    ready: int
    ready_tick: int
    latest_first: int
    earliest_end: int
    latest_end: int
    free: Mask
    at_least: int = 0


class Board:
    """Tasks placed so far and the room they leave."""

    __slots__ = ("network", "shapes", "profile", "placed", "carried")

    def __init__(self, network: Network, shapes: Shapes) -> None:
        self.network, self.shapes = network, shapes
        self.profile = Profile(network, shapes.room)
        self.placed: list[Placed | None] = [None] * len(network.tasks)
        self.carried: set[int] = set()

    def settle(self, task: int, placed: Placed) -> None:
        """Put a task in its place and take the resources it needs."""
        self.placed[task] = placed
        if placed.host is not None:
            self.carried.add(placed.host)
        if self.network.tasks[task].ends is None:
            self.profile.take(self.network.tasks[task].modes[placed.mode], placed.held_from, placed.end)

    def snapshot(self) -> tuple:
        """What `restore` needs to undo what is placed from now on."""
        return self.profile.snapshot(), self.carried.copy(), self.placed[:]

    def restore(self, snapshot: tuple) -> None:
        """Back to a snapshot, which serves once: the board goes on working in it."""
        room, self.carried, self.placed = snapshot
        self.profile.restore(room)

    def window(self, task: int) -> Window:
        """Where a task can go, given what is placed."""
        ready, ready_tick = self._ready(task)
        latest_first, latest_end = self._latest(task)
        earliest_end = self._earliest_end(task)
        host = self.network.host_of.get(task)
        if host is not None and self.placed[host] is not None:
            if (host, task) in self.network.starts_inside:
                latest_first = min(latest_first, max(self.placed[host].first, self.placed[host].end - 1))
            else:
                latest_end = min(latest_end, self.placed[host].end)
        return Window(ready, ready_tick, latest_first, earliest_end, latest_end, self._free(task))

    def _earliest_end(self, host: int) -> int:
        """Where a host must reach to hold those of its children that are placed."""
        ends = [0]
        for child in self.network.children.get(host, ()):
            inner = self.placed[child]
            if inner is not None:
                ends.append(inner.first + 1 if (host, child) in self.network.starts_inside else inner.end)
        return max(ends)

    def _ready(self, task: int) -> tuple[int, int]:
        ready = ready_tick = 0
        for edge in self.network.edges_into[task]:
            before = self.placed[edge.before]
            if before is None:
                continue
            if edge.table is None:
                ready_tick = max(ready_tick, before.start_tick if edge.from_start else before.end_tick)
            else:
                ready = max(ready, edge.earliest(before.first, before.end))
        return ready, ready_tick

    def _latest(self, task: int) -> tuple[int, int]:
        latest_first = latest_end = self.network.horizon
        for edge in self.network.edges_out[task]:
            after = self.placed[edge.after]
            if after is None:
                continue
            if edge.from_start:
                latest_first = min(latest_first, edge.latest(after.first))
            else:
                latest_end = min(latest_end, edge.latest(after.first))
        return latest_first, latest_end

    def _free(self, task: int) -> Mask:
        free = self.profile.every
        for other in self.network.clashes_of.get(task, ()):
            if self.placed[other] is not None:
                free &= ~span_mask(self.placed[other].first, self.placed[other].end)
        return free

    def search(self, task: int, window: Window, thrift: float = 0.0, favourite: int | None = None) -> Placed | None:
        """The place where the task ends soonest, person-ticks weighed in with `thrift`; None when there is none.

        With a `favourite` mode, others must end it a session sooner.
        """
        if self.network.tasks[task].ends is not None:
            return self._whole(task, window)
        hosts, begin = self._hosts(task, window), self._begin(window)
        soonest = window.ready_tick if hosts else self._tick(begin)
        best, found = float("inf"), None
        for number, mode in enumerate(self.network.tasks[task].modes):
            price = thrift * mode.effort if number != favourite else -self.shapes.session_ticks
            if soonest + mode.ticks + price >= best:
                continue
            if placed := self._carried(task, number, window, hosts, best - price):
                best, found = placed.end_tick + price, placed
            if placed := self._at_start(task, number, window, begin, best - price):
                best, found = placed.end_tick + price, placed
        return found

    def _whole(self, task: int, window: Window) -> Placed | None:
        the_task, bounds = self.network.tasks[task], self.network.bounds
        starts = self.shapes.allowed(task, 0) & window.free & span_mask(self._begin(window), window.latest_first + 1)
        while starts:
            first = lowest(starts)
            end = the_task.ends[first]
            if end > window.latest_end or end >= len(bounds):
                return None
            if end >= window.earliest_end and not span_mask(first, end) & ~window.free:
                return Placed(first, end, bounds[first], bounds[end])
            starts &= starts - 1
        return None

    def _begin(self, window: Window) -> int:
        """The first session at whose start the window lets anything start."""
        return max(window.ready, self.network.end_session(window.ready_tick))

    def _tick(self, session: int) -> int:
        return self.network.bounds[min(session, self.network.horizon)]

    def _at_start(self, task: int, number: int, window: Window, begin: int, before: float) -> Placed | None:
        """The first session at whose start the mode can begin, if it then ends before a tick."""
        mode = self.network.tasks[task].modes[number]
        if self._tick(begin) + mode.ticks >= before:
            return None
        room, best = self.profile.fits(mode) & window.free, self.network.horizon
        found: Placed | None = None
        for length, allowed in self.shapes.ways(task)[number]:
            if length < window.at_least:
                continue
            soonest = max(begin, window.earliest_end - length)
            starts = ((runs(room, length) if length else self.profile.every) & allowed) >> soonest
            first = soonest + lowest(starts) if starts else best
            if first < best and first <= min(window.latest_first, window.latest_end - length):
                begins, best = self.network.bounds[first], first
                found = Placed(first, first + length, begins, begins + mode.ticks, number)
        return found if found and found.end_tick < before else None

    def _hosts(self, task: int, window: Window) -> list[int]:
        """Tasks of the site, not yet carried on from, that leave the rest of a session the task could start in; first to end
        first."""
        hosts = [host for host in self.network.carriers_of.get(task, ()) if self._leaves_room(host, window)]
        return sorted(hosts, key=lambda host: self.placed[host].end_tick) if len(hosts) > 1 else hosts

    def _leaves_room(self, host: int, window: Window) -> bool:
        before = self.placed[host]
        return (
            before is not None
            and window.ready < before.end <= window.latest_first + 1
            and window.ready_tick <= before.end_tick < self.network.bounds[before.end]
            and host not in self.carried
        )

    def _carried(self, task: int, number: int, window: Window, hosts: list[int], before: float) -> Placed | None:
        """Carrying on within the session in which another task of the site ends, with its people, to end before a tick."""
        mode = self.network.tasks[task].modes[number]
        for host in hosts:
            inner = self.placed[host]
            if inner.end_tick + mode.ticks >= before:
                return None
            if (inner.mode, number) in self.network.carry_pairs[host, task] and (
                placed := self._carry_on(task, number, mode, host, window)
            ):
                return placed
        return None

    def _carry_on(self, task: int, number: int, mode: Mode, host: int, window: Window) -> Placed | None:
        before, bounds = self.placed[host], self.network.bounds
        first, ends_at = before.end - 1, before.end_tick + mode.ticks
        if ends_at > bounds[-1]:
            return None
        end = max(first + 1, self.network.end_session(ends_at))
        if not window.earliest_end <= end <= window.latest_end or end - first < window.at_least:
            return None
        if end > first + 1 and span_mask(first + 1, end) & ~self.profile.fits(mode):
            return None
        if span_mask(first, end) & ~window.free or not self.shapes.allowed(task, end - first) >> first & 1:
            return None
        return Placed(first, end, before.end_tick, ends_at, number, host)

    def forced(self, task: int) -> Placed | None:
        """A fixed start kept whatever it breaks; None past the last session."""
        the_task, bounds = self.network.tasks[task], self.network.bounds
        first = the_task.fixed if the_task.fixed is not None else min(the_task.running_in)
        if first >= self.network.horizon:
            return None
        if the_task.ends is not None:
            end = min(the_task.ends[first], self.network.horizon)
            return Placed(first, end, bounds[first], bounds[end])
        mode = min(range(len(the_task.modes)), key=lambda number: the_task.modes[number].ticks)
        ends_at = min(bounds[first] + the_task.modes[mode].ticks, bounds[-1])
        return Placed(first, self.network.end_session(ends_at), bounds[first], ends_at, mode)


def loosened(window: Window, board: Board) -> Window:
    """The window without what later tasks ask for."""
    horizon = board.network.horizon
    return window._replace(latest_first=horizon, latest_end=horizon, earliest_end=0)

"""Genetic search for classic networks: keep a stretch of time of one schedule, the order around it of another.

Every child is pushed late, then early again (forward-backward improvement: Tormos and Lova 2001; Valls,
Ballestín and Quintanilla 2005). The stretch kept is often the busiest one (peak crossover: Valls, Ballestín and
Quintanilla 2008). When nothing better comes up for a while, all but the best begin anew.
"""

import sys
from collections.abc import Callable
from itertools import accumulate
from random import Random
from typing import NamedTuple

from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found
from jobs.core.planning.packed import Packed

POPULATION = 80

ENTRANTS = 3
"""Schedules drawn as candidates for one parent; the best of them is taken."""

STRETCH = (0.15, 0.5)
"""Least and most of the whole time that is kept of one parent."""

PEAK_SHARE = 0.75
"""How often the stretch kept is the busiest."""

SHAKEN_SHARE, SHAKEN_TASKS, SHAKE_REACH = 0.7, 3, 0.15
"""How often a child is shaken, how many tasks are then moved, and how far in the order, as a share of the whole time."""

NOISE = 1.0
"""How far the order of a new schedule may stray from the most urgent first, as a share of the whole time."""

PATIENCE = 25
"""Generations without a better schedule before the population begins anew."""


class Bred(NamedTuple):
    """A schedule in the population: when the last task ends, and each task's end, in sessions."""

    finish: int
    ends: list[int]


class Breeding:
    """`best` is the best found, no worse than `start`. The same network, start and `random` give the same search."""

    def __init__(self, network: Network, start: Found, random: Random) -> None:
        self.packed, self.random, self.best = Packed(network), random, start
        self.population = [self._bred([placed.end for placed in start.schedule])]
        self.children: list[Bred] = []
        self.least, self.stale = start.score[-1], 0

    def run(self, steps: int, is_over: Callable[[], bool] = lambda: False) -> Found:
        """Make so many schedules more, each in two passes."""
        for _ in range(steps):
            if is_over() or self.best.score[-1] <= self.packed.least_finish:
                break
            self._step()
        return self.best

    def take(self, found: Found) -> None:
        """Let a schedule found elsewhere join if it is better."""
        if found.score < self.best.score:
            self._join(Bred(found.score[-1], [placed.end for placed in found.schedule]))

    def _step(self) -> None:
        if len(self.population) < POPULATION:
            self._join(self._bred(self._fresh_order()))
            return
        self.children.append(self._bred(self._crossed()))
        if len(self.children) == POPULATION:
            self._select()

    def _bred(self, wanted: list[float]) -> Bred:
        ends = self.packed.late_then_early(wanted)
        return Bred(max(ends), ends)

    def _join(self, bred: Bred) -> None:
        self.population.append(bred)
        self._hear(bred)

    def _hear(self, bred: Bred) -> None:
        if bred.finish < self.best.score[-1]:
            self.best = self.packed.found(bred.ends)

    def _fresh_order(self) -> list[float]:
        """The most urgent first, more or less."""
        reach = NOISE * self.packed.least_finish
        return [self.random.random() * reach - tail for tail in self.packed.tails]

    def _select(self) -> None:
        """The best of parents and children, no two alike, go on."""
        ranked = sorted(self.population + self.children, key=lambda bred: bred.finish)
        different = {tuple(bred.ends): bred for bred in reversed(ranked)}
        self.population = sorted(different.values(), key=lambda bred: bred.finish)[:POPULATION]
        self.children = []
        self._hear(self.population[0])
        self._begin_anew_if_stale(self.population[0].finish)

    def _begin_anew_if_stale(self, least: int) -> None:
        self.least, self.stale = (least, 0) if least < self.least else (self.least, self.stale + 1)
        if self.stale > PATIENCE:
            self.population, self.least, self.stale = [], sys.maxsize, 0

    def _crossed(self) -> list[float]:
        """Wanted ends: as in one parent within a stretch of it, as in another before and after."""
        one = min(self.random.choices(self.population, k=ENTRANTS), key=lambda bred: bred.finish)
        other = self.random.choice(self.population)
        keeps, orders = (one, other) if self.random.random() < 0.5 else (other, one)
        begin, end = self._stretch(keeps)
        far, wanted = 2 * (keeps.finish + orders.finish), []
        for kept, ordered, length in zip(keeps.ends, orders.ends, self.packed.lengths, strict=True):
            if begin <= kept - length < end:
                wanted.append(kept)
            elif ordered - length < begin:
                wanted.append(ordered - far)
            else:
                wanted.append(ordered + far if ordered - length >= end else ordered)
        return self._shaken(wanted) if self.random.random() < SHAKEN_SHARE else wanted

    def _stretch(self, bred: Bred) -> tuple[int, int]:
        length = self.random.randint(*(int(share * bred.finish) for share in STRETCH))
        is_peak = self.random.random() < PEAK_SHARE
        begin = self._busiest(bred, length) if is_peak else self.random.randint(0, bred.finish - length)
        return begin, begin + length

    def _busiest(self, bred: Bred, length: int) -> int:
        """Where a stretch so long has the most work in it."""
        changes = [0.0] * (bred.finish + 1)
        for end, its_length, load in zip(bred.ends, self.packed.lengths, self.packed.loads, strict=True):
            changes[end - its_length] += load
            changes[end] -= load
        done = list(accumulate(accumulate(changes), initial=0.0))
        return max(range(bred.finish - length + 1), key=lambda begin: done[begin + length] - done[begin])

    def _shaken(self, wanted: list[float]) -> list[float]:
        reach = SHAKE_REACH * self.packed.least_finish
        for _ in range(SHAKEN_TASKS):
            wanted[self.random.randrange(len(wanted))] += self.random.uniform(-reach, reach)
        return wanted

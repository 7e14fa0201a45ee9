"""Genetic search for classic networks: keep a stretch of time of one schedule, the order around it of another.

Every child is pushed late, then early again (forward-backward improvement: Tormos and Lova 2001; Valls,
Ballestín and Quintanilla 2005). The stretch kept is often the busiest one (peak crossover: Valls, Ballestín and
Quintanilla 2008). When nothing new comes up for a while, all but the best begin anew.
"""

from collections.abc import Callable, Sequence
from random import Random
from typing import NamedTuple

from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found
from jobs.core.planning.packed import Packed

POPULATION = 80

ENTRANTS = 3
"""Schedules drawn as candidates for one parent; the best of them is taken."""

STRETCH = (0.25, 0.75)
"""Least and most of the whole time that is kept of one parent."""

PEAK_SHARE = 0.5
"""How often the stretch kept is the busiest."""

SHAKEN_SHARE, SHAKEN_TASKS, SHAKE_REACH = 0.6, 0.03, 0.15
"""How often a child is shaken, the share of tasks then moved, and how far in the order, as a share of the whole time."""

NOISE = (0.1, 0.3)
"""How far the order of a new schedule may stray from the most urgent first, as a share of the whole time."""

PATIENCE = 25
"""Generations without a better schedule before the population begins anew."""


class Bred(NamedTuple):
    finish: int
    ends: list[int]


class Breeding:
    """`best` is the best found, no worse than `start`. The same network, start and `random` give the same search."""

    def __init__(self, network: Network, start: Found, random: Random) -> None:
        self.packed, self.random, self.best = Packed(network), random, start
        self._tails = self.packed.late([0] * len(network.tasks)) if False else self._urgency(network)

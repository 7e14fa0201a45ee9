"""Search among orders: move tasks a little earlier or later in the order of placing, keep what helps.

Accepting what was good enough some steps ago (late acceptance) leads out of dead ends.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from jobs.core.planning import justify, priorities
from jobs.core.planning.generation import DoesNotFitError, Order, generate
from jobs.core.planning.misfits import misfit
from jobs.core.planning.network import Network, Schedule, score
from jobs.core.planning.shapes import Shapes

Score = tuple[int, ...]

MEMORY = 40
"""How many steps ago a schedule had to be no better to be accepted now."""

REACHES = (3, 6, 12, 40)
"""Sessions by which tasks move in the order."""

TRY_AGAIN = 0.3
"""Share of steps in which a wished start given up before is tried again."""

JUSTIFY_EVERY = 25
"""Steps between tries of pushing everything late, then early again."""


@dataclass(frozen=True)
class Found:
    """A schedule with the order it came from. `misfit` 0: it keeps everything."""

    misfit: int
    score: Score
    schedule: Schedule
    order: Order

    @property
    def worth(self) -> Score:
        """Smaller is better: what it breaks first, then its score."""
        return (self.misfit, *self.score)


def attempt(network: Network, shapes: Shapes, order: Order) -> Found | None:
    """The schedule of an order, or None when the work does not fit the calendar."""
    try:
        schedule = generate(network, shapes, order)
    except DoesNotFitError:
        return None
    return found_of(network, schedule, _still_held(schedule, order))


def _still_held(schedule: Schedule, order: Order) -> Order:
    """The order without starts it could not keep."""
    return replace(order, holds={task: at for task, at in order.holds.items() if schedule[task].first == at})


def found_of(network: Network, schedule: Schedule, order: Order) -> Found:
    """A schedule and its order with what it breaks and its score."""
    return Found(misfit(network, schedule), score(network, schedule), schedule, order)


class OrderSearch:
    """`best` is the best found. The same network, start and `random` give the same search."""

    def __init__(self, network: Network, shapes: Shapes, start: Found, random: Random) -> None:
        self.network, self.shapes, self.random = network, shapes, random
        self.best = self.current = start
        self.memory: deque[Score] = deque([start.worth] * MEMORY, MEMORY)
        self.steps = 0
        self.session_ticks = shapes.session_ticks

    def run(self, steps: int, is_over: Callable[[], bool] = lambda: False) -> Found:
        """The best found after so many steps, or fewer when `is_over` says so."""
        for _ in range(steps):
            if is_over() or not self.network.tasks:
                break
            self.step()
        return self.best

    def take(self, found: Found) -> None:
        """Go on from a schedule found elsewhere if it is better, and hold the dates that it keeps."""
        if found.worth < self.best.worth:
            aim, at = self.network.aim, found.schedule
            holds = {task: first for task, first in (aim.week | aim.told).items() if at[task].first == first}
            self.best = self.current = replace(found, order=replace(found.order, holds=holds))

    def step(self) -> None:
        """Try an order near the current one; go on from it if no worse than that, or than `MEMORY` steps ago."""
        self.steps += 1
        order = self._late_order() if self.steps % JUSTIFY_EVERY == 0 else self._neighbour()
        found = attempt(self.network, self.shapes, order) if order else None
        if found is None:
            return
        if found.worth <= max(self.current.worth, self.memory[0]):
            self.current = found
        self.memory.append(self.current.worth)
        if found.worth < self.best.worth:
            self.best = found

    def _late_order(self) -> Order | None:
        rank = justify.late_order(self.network, self.shapes, self.current.schedule)
        return replace(self.current.order, rank=rank) if rank else None

    def _neighbour(self) -> Order:
        rank = priorities.by_start(self.current.schedule)
        reach = self.random.choice(REACHES) * self.session_ticks
        move = self._move_job if self.random.random() < 0.3 else self._stir
        return self._rethought(replace(self.current.order, rank=move(rank, reach), holds=self._holds()))

    def _holds(self) -> dict[int, int]:
        """Starts held now, and from time to time a wished one given up before."""
        held, aim = dict(self.current.order.holds), self.network.aim
        given_up = [pair for pair in (*aim.told.items(), *aim.week.items()) if pair[0] not in held]
        return held | dict([self.random.choice(given_up)]) if given_up and self.random.random() < TRY_AGAIN else held

    def _stir(self, rank: list[float], reach: float) -> list[float]:
        """Move tasks around one moment of the plan."""
        middle = self.random.choice(rank)
        return [at + self.random.uniform(-reach, reach) if abs(at - middle) < 3 * reach else at for at in rank]

    def _move_job(self, rank: list[float], reach: float) -> list[float]:
        """Move a whole job, or what is left of it from some moment on."""
        group = self.random.choice(self.network.aim.groups)
        shift, since = self.random.uniform(-reach, reach), rank[self.random.choice(group.tasks)]
        for task in group.tasks:
            if rank[task] >= since:
                rank[task] += shift
        return rank

    def _rethought(self, order: Order) -> Order:
        """How dear people are to each task: mostly as before, for some tasks anew, whatever crew they had."""
        share = 3 / len(order.thrift)
        anew = {t: self.random.choice(priorities.THRIFTS) for t in range(len(order.thrift)) if self.random.random() < share}
        thrift = tuple(anew.get(task, known) for task, known in enumerate(order.thrift))
        return replace(order, thrift=thrift, modes={task: mode for task, mode in order.modes.items() if task not in anew})

"""Make a schedule better until time is up, nothing can be better, or somebody says stop.

Two searches work side by side and share the best found: orders of placing, in the caller's thread, and
the constraint model in the background. The model takes the whole problem while that is small; of a big one
it takes the terms before flow, to prove them, and then parts of the schedule, to better them. When orders
bring nothing more for a big problem, a second search of parts takes their place.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random
from threading import Thread
from time import sleep

from jobs.core.planning.breeding import Breeding
from jobs.core.planning.classic import is_classic
from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found, OrderSearch
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import bounds
from jobs.core.planning.solver.best import Best, State
from jobs.core.planning.solver.classic_model import ClassicModel
from jobs.core.planning.solver.neighbourhood_search import Search
from jobs.core.planning.solver.proof import Proof
from jobs.core.planning.solver.settings import Settings

SMALL = 60
"""Tasks up to which the whole model is worth solving for flow."""

STALLED = 100
"""Schedules from orders, none of them better than the best, after which their worker turns to parts, once the terms
before flow are settled."""

REST_SECONDS = 0.01
"""Between looks at the background while the caller's thread has nothing to do."""


@dataclass
class Watch:
    """What the caller hears and says; both are called in the caller's thread."""

    on_state: Callable[[State], None] = lambda state: None
    should_stop: Callable[[], bool] = lambda: False


def solve(network: Network, shapes: Shapes, seed: Found, settings: Settings, watch: Watch | None = None) -> State:
    """The best found, never worse than `seed`, which must keep all rules of the network."""
    best, watch, settings = (
        Best(network, seed.schedule, bounds.least_terms(network, shapes)),
        watch or Watch(),
        settings.started(),
    )
    orders, model = _searches(network, shapes, seed, best, settings)
    if settings.is_deterministic:
        best.hear(orders.run(int(model.tasks_a_second * settings.seconds / max(1, len(network.tasks)))).schedule)
        model.run()
    else:
        _side_by_side(orders, model, best, settings, watch)
    best.tell(watch.on_state)
    return best.state


def _searches(network: Network, shapes: Shapes, seed: Found, best: Best, settings: Settings):
    """The search for the caller's thread and what works in the background, by the kind of network."""
    if is_classic(network):
        breeding = Breeding(network, seed, Random(settings.random_seed))
        return breeding, ClassicModel(network, shapes, breeding, best, settings)
    return OrderSearch(network, shapes, seed, Random(settings.random_seed)), _Model(network, shapes, best, settings)


def _side_by_side(
    orders: OrderSearch | Breeding, model: "_Model | ClassicModel", best: Best, settings: Settings, watch: Watch
) -> None:
    model.begin()
    background = Thread(target=model.run, daemon=True)
    background.start()
    while not (settings.is_time_up or watch.should_stop() or best.state.is_optimal):
        orders.run(model.steps) if model.steps else sleep(REST_SECONDS)
        model.note(best.hear(orders.best.schedule))
        orders.take(replace(orders.best, score=best.state.score, schedule=best.state.schedule))
        best.tell(watch.on_state)
    best.is_over = True
    model.stop()
    background.join()


class _Model:
    """What the constraint model does in the background, and how much the caller's thread does beside it.

    `tasks_a_second`: tasks placed by the order search for each second of a deterministic run.
    """

    tasks_a_second = 20_000

    def __init__(self, network: Network, shapes: Shapes, best: Best, settings: Settings) -> None:
        self.best, self.is_small = best, len(network.tasks) <= SMALL
        self.has_second = settings.workers > 1 and not (self.is_small or settings.is_deterministic)
        self.steps, self.fruitless, self.is_proving = 1, 0, True
        self.settings = replace(settings, workers=max(1, settings.workers - 1))
        self.proof = Proof(network, shapes, best)
        self.parts, self.second = (Search(network, shapes, best, Random(settings.random_seed + n)) for n in (1, 2))
        self._beside = Thread(target=self.second.run, args=(lambda: self._is_over(self.settings),), daemon=True)

    def begin(self) -> None:
        """Nothing comes first."""

    def note(self, is_better: bool) -> None:
        """Let orders go on for as long as they help."""
        self.fruitless = 0 if is_better else self.fruitless + 1
        if self.has_second and self.steps and self.fruitless >= STALLED and not self.is_proving:
            self.steps = 0
            self._beside.start()

    def stop(self) -> None:
        for one in (self.proof, self.parts, self.second):
            one.stop()
        if not self.steps:
            self._beside.join()

    def run(self) -> None:
        self.proof.run(self.settings, with_flow=self.is_small)
        self.is_proving = False
        if not self.is_small:
            self.parts.run(lambda: self._is_over(self.settings))

    def _is_over(self, settings: Settings) -> bool:
        if settings.is_deterministic:
            return self.parts.work >= settings.seconds
        return settings.is_time_up

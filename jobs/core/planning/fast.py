"""The fast pass: many schedules from simple priorities, the best of them made better by forward-backward improvement."""

from random import Random

from jobs.core.planning import justify, priorities
from jobs.core.planning.generation import DoesNotFitError, Order, generate
from jobs.core.planning.network import Network, Schedule, score
from jobs.core.planning.shapes import Shapes

Ranked = tuple[tuple[int, int, int, int], Schedule, Order]

SHAKEN_TASKS = 800
"""Tasks placed, in all, in schedules tried around the best order after the priorities."""


def fast_schedule(network: Network, shaken_tasks: int = SHAKEN_TASKS) -> Schedule | None:
    """A good schedule at once, always the same for the same network; None when the work does not fit the calendar."""
    shapes = Shapes(network)
    found = [ranked for order in priorities.orders(network, shapes) if (ranked := _try(network, shapes, order))]
    if not found:
        return None
    best = min(found, key=lambda ranked: ranked[0])
    best = _improve(network, shapes, best)
    return _shake(network, shapes, best, shaken_tasks // max(1, len(network.tasks)))[1]


def _try(network: Network, shapes: Shapes, order: Order) -> Ranked | None:
    try:
        schedule = generate(network, shapes, order)
    except DoesNotFitError:
        return None
    return score(network, schedule), schedule, order


def _improve(network: Network, shapes: Shapes, best: Ranked) -> Ranked:
    """Push everything late, then early again, as long as that helps."""
    while True:
        rank = justify.late_order(network, shapes, best[1])
        again = _try(network, shapes, Order(rank, best[2].thrift, best[2].holds)) if rank else None
        if again is None or again[0] >= best[0]:
            return best
        best = again


def _shake(network: Network, shapes: Shapes, best: Ranked, times: int) -> Ranked:
    """Try orders near the best one."""
    random = Random(1)
    spread = network.bounds[-1] / max(1, network.horizon) * 6
    for _ in range(times):
        rank = [start + random.uniform(-spread, spread) for start in priorities.by_start(best[1])]
        again = _try(network, shapes, Order(rank, best[2].thrift, best[2].holds))
        if again is not None and again[0] < best[0]:
            best = again
    return best

"""The fast pass: many schedules from simple priorities, the best of them made better for a moment."""

from collections.abc import Iterable
from random import Random

from jobs.core.planning import priorities
from jobs.core.planning.generation import Order
from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found, OrderSearch, attempt
from jobs.core.planning.shapes import Shapes

TASKS_PLACED = 800
"""Work of the search after the priorities: tasks placed, over all its schedules."""

REPAIR = 3
"""So many times that work again at most, as long as something is broken."""


def fast_schedule(
    network: Network, shapes: Shapes | None = None, tasks_placed: int = TASKS_PLACED, known: Iterable[Order] = ()
) -> Found | None:
    """A good schedule at once, always the same for the same network; None when the work does not fit the calendar.

    `known`: orders of schedules made before, to begin from where they are best.
    """
    shapes = shapes or Shapes(network)
    orders = (*known, *priorities.orders(network, shapes))
    found = [one for order in orders if (one := attempt(network, shapes, order))]
    if not found:
        return None
    search = OrderSearch(network, shapes, min(found, key=lambda one: one.worth), Random(1))
    found = search.run(tasks_placed // max(1, len(network.tasks)))
    return (
        search.run(REPAIR * tasks_placed // max(1, len(network.tasks)), lambda: not search.best.misfit) if found.misfit else found
    )

"""A schedule that keeps everything, for when placing in order alone did not find one."""

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network
from jobs.core.planning.order_search import Found, found_of
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import objective
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.settings import Settings
from jobs.core.planning.solver.variables import Decisions


def schedule_near(network: Network, shapes: Shapes, found: Found, settings: Settings) -> Found | None:
    """A schedule that keeps all rules of the network, or None when there is none or none was found in time."""
    last = max((placed.end for placed in found.schedule), default=0)
    decisions = Decisions(network, shapes, min(network.horizon, 2 * last + 40))
    if not decisions.can_start_everything:
        return None
    add_constraints(decisions)
    decisions.model.minimize(objective.weighed(decisions))
    decisions.hint(found.schedule)
    solver = settings.solver()
    solver.parameters.stop_after_first_solution = True
    if solver.solve(decisions.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    schedule = tuple(decisions.placed(solver.value, index) for index in range(len(network.tasks)))
    return found_of(network, schedule, found.order)

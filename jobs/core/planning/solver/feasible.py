"""A schedule that keeps everything, for when placing in order alone did not find one."""

from collections.abc import Mapping

from ortools.sat.python import cp_model

from jobs.core.planning.misfits import wrong_tasks
from jobs.core.planning.network import Network, Placed, Schedule
from jobs.core.planning.order_search import Found, found_of
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import objective
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.neighbourhoods import with_carriers
from jobs.core.planning.solver.settings import Settings
from jobs.core.planning.solver.variables import Decisions

MARGINS = (0, 10, 20, 40)
"""Work that begins so many sessions after what is wrong ends, or sooner, is tried anew: what is wrong is mostly near."""

JOB_SHARE = 0.2
"""Share of the time left that goes to each of these, for each job."""


def repaired(network: Network, shapes: Shapes, found: Found, settings: Settings) -> Found:
    """A schedule that keeps all rules of the network, or as many as could be kept in the time: one job after the other."""
    settings = settings.started()
    wrong = wrong_tasks(network, found.schedule)
    for group in network.aim.groups:
        found = _with_job_repaired(network, shapes, found, wrong & set(group.tasks), settings)
    schedule = _solved(network, shapes, found.schedule, settings.share(1.0), {}) if found.misfit else None
    return found_of(network, schedule, found.order) if schedule is not None else found


def _with_job_repaired(network: Network, shapes: Shapes, found: Found, wrong: set[int], settings: Settings) -> Found:
    """What is wrong with one job put right, if that can be done with what begins before or soon after."""
    end = max((found.schedule[task].end for task in wrong), default=0)
    elsewhere = wrong_tasks(network, found.schedule) - wrong
    for margin in MARGINS if wrong else ():
        begun = {task for task, placed in enumerate(found.schedule) if placed.first <= end + margin}
        near = with_carriers(found.schedule, (begun | wrong) - elsewhere)
        frozen = {task: placed for task, placed in enumerate(found.schedule) if task not in near}
        schedule = _solved(network, shapes, found.schedule, settings.share(JOB_SHARE), frozen)
        if schedule is not None:
            return found_of(network, schedule, found.order)
    return found


def _solved(
    network: Network, shapes: Shapes, near: Schedule, settings: Settings, frozen: Mapping[int, Placed]
) -> Schedule | None:
    """The first schedule found with the frozen tasks where they are."""
    last = max((placed.end for placed in near), default=0)
    decisions = Decisions(network, shapes, min(network.horizon, 2 * last + 40), frozen)
    if not decisions.can_start_everything:
        return None
    add_constraints(decisions)
    decisions.model.minimize(objective.weighed(decisions))
    decisions.hint(near)
    solver = settings.solver()
    solver.parameters.stop_after_first_solution = True
    if solver.solve(decisions.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return tuple(decisions.placed(solver.value, index) for index in range(len(network.tasks)))

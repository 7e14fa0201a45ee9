"""Large-neighbourhood search: set some tasks free, solve for them with the rest in place, keep what is better."""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network, Schedule
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import neighbourhoods, objective
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.variables import Decisions

START_SIZE, LEAST_SIZE, MOST_SIZE = 20, 6, 120
"""Tasks set free at once: more while that is easy, fewer while it is hard."""

STEP_WORK = 0.05
"""Work (the solver's deterministic time) spent on one neighbourhood."""

ROOM_AFTER = 20
"""Sessions after the schedule's end that a neighbourhood may use."""


@dataclass
class Search:
    """One searcher. `work` is what it has spent, in the solver's deterministic time. `stop` may be called from another thread."""

    network: Network
    shapes: Shapes
    best: Best
    random: Random
    size: float = START_SIZE
    work: float = 0.0
    solver: cp_model.CpSolver | None = None

    def stop(self) -> None:
        """Interrupt the solver at work from another thread."""
        if self.solver is not None:
            self.solver.stop_search()

    def run(self, is_over: Callable[[], bool]) -> None:
        """Step after step until it is over."""
        while not is_over() and not self.best.is_over:
            self.step(is_over)

    def step(self, is_over: Callable[[], bool]) -> None:
        """Free some tasks, solve, keep what is better; free more next time when it was solved to the end, else fewer."""
        schedule = self.best.state.schedule
        free = neighbourhoods.free_tasks(self.network, schedule, self.random, int(self.size))
        self.solver, decisions = _solver(self.random.randrange(2**30)), self._decisions(schedule, free)
        if is_over():
            return
        status = self.solver.solve(decisions.model)
        self.work += max(0.001, self.solver.response_proto.deterministic_time)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.best.hear(tuple(decisions.placed(self.solver.value, index) for index in range(len(schedule))))
        factor = 1.1 if status == cp_model.OPTIMAL else 0.85
        self.size = min(MOST_SIZE, len(schedule), max(LEAST_SIZE, self.size * factor))

    def _decisions(self, schedule: Schedule, free: frozenset[int]) -> Decisions:
        frozen = {task: placed for task, placed in enumerate(schedule) if task not in free}
        last = max(placed.end for placed in schedule)
        decisions = Decisions(self.network, self.shapes, min(self.network.horizon, last + ROOM_AFTER), frozen, schedule)
        add_constraints(decisions)
        decisions.model.minimize(objective.weighed(decisions))
        decisions.hint(schedule)
        return decisions


def _solver(random_seed: int) -> cp_model.CpSolver:
    """Without relaxations, probing and the like, which take half the time of so small a model and find nothing more in it."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = STEP_WORK
    solver.parameters.random_seed = random_seed
    solver.parameters.linearization_level = 0
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    solver.parameters.inprocessing_dtime_ratio = 0.0
    solver.parameters.use_new_integer_conflict_resolution = True
    return solver

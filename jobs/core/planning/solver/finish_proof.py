"""Is there anything that finishes sooner? Asked of the constraint model with no more sessions than that would take.

Asking so again and again, rather than minimising, is what proves classic networks: knowing the end, the model
tightens every task's room (destructive bounds: Klein and Scholl 1999; clause learning: Schutt, Feydy, Stuckey
and Wallace 2011).
"""

from itertools import combinations

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network
from jobs.core.planning.priorities import topological
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.settings import Settings
from jobs.core.planning.solver.variables import Decisions

FINISH = 3
"""The place of flow, here the finish, in the score."""


class FinishProof:
    """`stop` may be called from another thread while `run` is at work; `run` asks for less then, if it is not over."""

    def __init__(self, network: Network, shapes: Shapes, best: Best) -> None:
        self.network, self.shapes, self.best = network, shapes, best
        self._apart = _never_together(network)
        self._solver: cp_model.CpSolver | None = None

    def stop(self) -> None:
        if self._solver is not None:
            self._solver.stop_search()

    def run(self, settings: Settings) -> None:
        """Until nothing finishes sooner, it is over, or time is up."""
        settings = settings.started()
        while not (self.best.is_over or self.best.state.is_optimal or settings.is_time_up):
            asked = self.best.state.score[FINISH] - 1
            status = self._ask(asked, settings.share(1.0))
            if status == cp_model.INFEASIBLE:
                self.best.prove(FINISH, asked + 1)
            elif settings.is_deterministic and status == cp_model.UNKNOWN:
                return

    def _ask(self, horizon: int, settings: Settings) -> cp_model.CpSolverStatus:
        """Look for a schedule that ends by `horizon`, unless one was found meanwhile."""
        decisions = Decisions(self.network, self.shapes, horizon)
        add_constraints(decisions)
        for one, other in self._apart:
            _one_first(decisions, one, other)
        self._solver = _plain(settings.solver())
        if self.best.state.score[FINISH] <= horizon:
            return cp_model.UNKNOWN
        status = self._solver.solve(decisions.model)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.best.hear(tuple(decisions.placed(self._solver.value, task) for task in range(len(self.network.tasks))))
        return status


def _plain(solver: cp_model.CpSolver) -> cp_model.CpSolver:
    """Clause learning alone: other workers, linear relaxations, probing and symmetry cost more here than they bring."""
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 0
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    return solver


def _one_first(decisions: Decisions, one: int, other: int) -> None:
    a, b = decisions.tasks[one], decisions.tasks[other]
    is_first = decisions.model.new_bool_var(f"{one} before {other}")
    decisions.model.add(b.first >= a.end).only_enforce_if(is_first)
    decisions.model.add(a.first >= b.end).only_enforce_if(is_first.negated())


def _never_together(network: Network) -> list[tuple[int, int]]:
    """Pairs in no order yet that together take more than there is."""
    reached: list[set[int]] = [set() for _ in network.tasks]
    for task in reversed(topological(network)):
        for edge in network.edges_out[task]:
            reached[task] |= {edge.after} | reached[edge.after]
    capacity, modes = [row[0] for row in network.capacity], [task.modes[0] for task in network.tasks]
    working = [task for task, mode in enumerate(modes) if mode.ticks]
    return [
        (one, other)
        for one, other in combinations(working, 2)
        if other not in reached[one] and one not in reached[other]
        if any(a + b > most for a, b, most in zip(modes[one].demands, modes[other].demands, capacity, strict=True))
    ]

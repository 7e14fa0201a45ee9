"""Is there anything that finishes sooner? Asked of the constraint model with no more sessions than that would take.

Asking so again and again, rather than minimising, is what proves classic networks: knowing the end, the model
tightens every task's room (destructive bounds: Klein and Scholl 1999; clause learning: Schutt, Feydy, Stuckey
and Wallace 2011). With more than one worker the question is split by which of two tasks comes first.
"""

from concurrent.futures import ThreadPoolExecutor
from itertools import combinations

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network
from jobs.core.planning.packed import Packed
from jobs.core.planning.priorities import topological
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.bounds import earliest_ends
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.settings import Settings
from jobs.core.planning.solver.variables import Decisions

FINISH = 3
"""The place of flow, here the finish, in the score."""

Pair = tuple[int, int]
"""Two tasks, the first to end before the second starts."""


class FinishProof:
    """`stop` may be called from another thread while `run` is at work; `run` asks for less then, if it is not over."""

    def __init__(self, network: Network, shapes: Shapes, packed: Packed, best: Best) -> None:
        self.network, self.shapes, self.best = network, shapes, best
        self._apart = _never_together(network)
        self._split = _closest(self._apart, packed.lengths, packed.tails, earliest_ends(network, shapes))
        self._solvers: list[cp_model.CpSolver] = []

    def stop(self) -> None:
        for solver in self._solvers:
            solver.stop_search()

    def run(self, settings: Settings) -> None:
        """Until nothing finishes sooner, it is over, or time is up."""
        settings = settings.started()
        while not (self.best.is_over or self.best.state.is_optimal or settings.is_time_up):
            asked = self.best.state.score[FINISH] - 1
            statuses = self._ask_all(asked, settings)
            if all(status == cp_model.INFEASIBLE for status in statuses):
                self.best.prove(FINISH, asked + 1)
            elif settings.is_deterministic and cp_model.UNKNOWN in statuses:
                return

    def _ask_all(self, horizon: int, settings: Settings) -> list[cp_model.CpSolverStatus]:
        """The whole question, or both its parts side by side."""
        parts = [self._split, self._split[::-1]] if self._split and settings.workers > 1 else [None]
        self._solvers = []
        with ThreadPoolExecutor(settings.workers) as pool:
            return list(pool.map(lambda part: self._ask(horizon, part, settings), parts))

    def _ask(self, horizon: int, part: Pair | None, settings: Settings) -> cp_model.CpSolverStatus:
        """Look for a schedule that ends by `horizon`, unless one was found meanwhile or time is up."""
        decisions = Decisions(self.network, self.shapes, horizon)
        add_constraints(decisions)
        for pair in self._apart:
            _one_first(decisions, pair)
        if part is not None:
            decisions.model.add(decisions.tasks[part[1]].first >= decisions.tasks[part[0]].end)
        solver = _plain(settings.share(1.0).solver())
        self._solvers.append(solver)
        if settings.is_time_up or self.best.is_over or self.best.state.score[FINISH] <= horizon:
            return cp_model.UNKNOWN
        status = solver.solve(decisions.model)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.best.hear(tuple(decisions.placed(solver.value, task) for task in range(len(self.network.tasks))))
            self.stop()
        return status


def _plain(solver: cp_model.CpSolver) -> cp_model.CpSolver:
    """Clause learning alone: other workers, linear relaxations, probing and the like cost more here than they bring."""
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.linearization_level = 0
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.inprocessing_dtime_ratio = 0.0
    parameters.use_disjunctive_constraint_in_cumulative = False
    parameters.binary_minimization_algorithm = type(parameters).BinaryMinizationAlgorithm.NO_BINARY_MINIMIZATION
    return solver


def _one_first(decisions: Decisions, pair: Pair) -> None:
    a, b = (decisions.tasks[task] for task in pair)
    is_first = decisions.model.new_bool_var(f"{pair[0]} before {pair[1]}")
    decisions.model.add(b.first >= a.end).only_enforce_if(is_first)
    decisions.model.add(a.first >= b.end).only_enforce_if(is_first.negated())


def _never_together(network: Network) -> list[Pair]:
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


def _closest(pairs: list[Pair], lengths: list[int], tails: list[int], ends: list[int]) -> Pair | None:
    """The pair whose order says most: both long, and wanted at the same time."""
    middle = [end - length - tail for end, length, tail in zip(ends, lengths, tails, strict=True)]
    return min(
        pairs, key=lambda pair: abs(middle[pair[0]] - middle[pair[1]]) / 2 - min(lengths[task] for task in pair), default=None
    )

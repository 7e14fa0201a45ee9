"""Is there anything that finishes sooner? Asked of the constraint model with no more sessions than that would take.

Asking so again and again, rather than minimising, is what proves classic networks: knowing the end, the model
tightens every task's room (destructive bounds: Klein and Scholl 1999; clause learning: Schutt, Feydy, Stuckey
and Wallace 2011). The question is split by which of two tasks comes first, so that two workers can share it.
"""

from collections.abc import Iterator
from itertools import combinations
from threading import Lock
from time import sleep

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

REST_SECONDS = 0.01
"""Between looks at the question while others are at work on all of it."""

Pair = tuple[int, int]
"""Two tasks, the first to end before the second starts."""


class FinishProof:
    """`run` may be at work in several threads at once: each takes a part of the question. `stop` ends those parts, from
    any thread; `run` then asks for less, if it is not over."""

    def __init__(self, network: Network, shapes: Shapes, packed: Packed, best: Best) -> None:
        self.network, self.shapes, self.best = network, shapes, best
        split = _closest(_never_together(network), packed.lengths, packed.tails, earliest_ends(network, shapes))
        self._parts: tuple[Pair | None, ...] = (split, split[::-1]) if split else (None,)
        self._lock = Lock()
        self._asked, self._open, self._unproven = -1, [], 0
        self._solvers: list[cp_model.CpSolver] = []

    def stop(self) -> None:
        """Interrupt every solver at work from another thread."""
        for solver in list(self._solvers):
            solver.stop_search()

    def run(self, settings: Settings) -> None:
        """Until nothing finishes sooner, it is over, or time is up."""
        settings = settings.started()
        while not (self._is_over() or settings.is_time_up):
            taken = self._take()
            if taken is None:
                sleep(REST_SECONDS)
                continue
            status = self._ask(*taken, settings)
            self._answer(*taken, status)
            if settings.is_deterministic and status == cp_model.UNKNOWN:
                return

    def _is_over(self) -> bool:
        return self.best.is_over or self.best.state.is_optimal

    def _take(self) -> tuple[int, Pair | None] | None:
        """A part nobody is at work on: what to end by, and in which order."""
        with self._lock:
            asked = self.best.state.score[FINISH] - 1
            if asked != self._asked:
                self._asked, self._open, self._unproven = asked, list(self._parts), len(self._parts)
            return (asked, self._open.pop(0)) if self._open else None

    def _answer(self, asked: int, part: Pair | None, status: cp_model.CpSolverStatus) -> None:
        """What is left unproven, unless another question is asked by now."""
        with self._lock:
            if asked != self._asked:
                return
            if status == cp_model.INFEASIBLE:
                self._unproven -= 1
            else:
                self._open.append(part)
        if not self._unproven:
            self.best.prove(FINISH, asked + 1)

    def _ask(self, horizon: int, part: Pair | None, settings: Settings) -> cp_model.CpSolverStatus:
        """Look for a schedule that ends by `horizon`, unless one was found meanwhile or time is up."""
        decisions = self._decisions(horizon, part)
        solver = _plain(settings.share(1.0).solver())
        self._solvers.append(solver)
        status = cp_model.UNKNOWN
        if not (settings.is_time_up or self.best.is_over or self.best.state.score[FINISH] <= horizon):
            status = solver.solve(decisions.model)
        self._solvers.remove(solver)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.best.hear(tuple(decisions.placed(solver.value, task) for task in range(len(self.network.tasks))))
            self.stop()
        return status

    def _decisions(self, horizon: int, part: Pair | None) -> Decisions:
        decisions = Decisions(self.network, self.shapes, horizon)
        add_constraints(decisions)
        if part is not None:
            decisions.model.add(decisions.tasks[part[1]].first >= decisions.tasks[part[0]].end)
        return decisions


def _plain(solver: cp_model.CpSolver) -> cp_model.CpSolver:
    """Clause learning alone: other workers, linear relaxations, probing and the like cost more here than they bring.

    Learning from bounds of integers themselves halves the time of a proof.
    """
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.use_new_integer_conflict_resolution = True
    parameters.linearization_level = 0
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.inprocessing_dtime_ratio = 0.0
    parameters.use_disjunctive_constraint_in_cumulative = False
    parameters.binary_minimization_algorithm = type(parameters).BinaryMinizationAlgorithm.NO_BINARY_MINIMIZATION
    return solver


def _never_together(network: Network) -> Iterator[Pair]:
    """Pairs in no order yet that together take more than there is."""
    reached: list[set[int]] = [set() for _ in network.tasks]
    for task in reversed(topological(network)):
        for edge in network.edges_out[task]:
            reached[task] |= {edge.after} | reached[edge.after]
    capacity, modes = [row[0] for row in network.capacity], [task.modes[0] for task in network.tasks]
    working = [task for task, mode in enumerate(modes) if mode.ticks]
    return (
        (one, other)
        for one, other in combinations(working, 2)
        if other not in reached[one] and one not in reached[other]
        if any(a + b > most for a, b, most in zip(modes[one].demands, modes[other].demands, capacity, strict=True))
    )


def _closest(pairs: Iterator[Pair], lengths: list[int], tails: list[int], ends: list[int]) -> Pair | None:
    """The pair whose order says most: both long, and wanted at the same time."""
    middle = [end - length - tail for end, length, tail in zip(ends, lengths, tails, strict=True)]
    return min(
        pairs, key=lambda pair: abs(middle[pair[0]] - middle[pair[1]]) / 2 - min(lengths[task] for task in pair), default=None
    )

"""The whole model, its terms minimised one after the other: finds, and above all proves."""

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import bounds, objective
from jobs.core.planning.solver.best import Best
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.settings import Settings
from jobs.core.planning.solver.variables import Decisions

FIRST_SHARE = 0.6
"""At most this share of the time left goes to each term before the last."""


class Proof:
    """`stop` may be called from another thread while `run` is at work."""

    def __init__(self, network: Network, shapes: Shapes, best: Best) -> None:
        self.network, self.shapes, self.best = network, shapes, best
        self.horizon = horizon(network, best)
        self._solver: cp_model.CpSolver | None = None
        self._decisions: Decisions | None = None

    def stop(self) -> None:
        """Interrupt the solver at work from another thread."""
        if self._solver is not None:
            self._solver.stop_search()

    def run(self, settings: Settings, with_flow: bool = True) -> None:
        """Minimise each term in turn; `with_flow` False leaves out the last."""
        for place in range(len(objective.TERMS) - (not with_flow)):
            if self.best.is_over:
                return
            if self.best.state.score[place] == self.best.state.bound[place]:
                self.best.prove(place, self.best.state.bound[place])
            else:
                self._minimise(place, settings.share(1.0 if place == len(objective.TERMS) - 1 else FIRST_SHARE))

    def _minimise(self, place: int, settings: Settings) -> None:
        decisions, terms = self._model()
        for before in range(place):
            decisions.model.add(terms[before] <= self.best.state.score[before])
        decisions.model.minimize(terms[place])
        decisions.hint(self.best.state.schedule)
        is_last = place == len(objective.TERMS) - 1
        self._solver = settings.solver() if is_last else _counting(settings.solver())
        self._solver.best_bound_callback = lambda bound: self._prove(place, bound)
        if not self.best.is_over:
            status = self._solver.solve(decisions.model, _Listener(decisions, self.best))
            if status == cp_model.OPTIMAL:
                self._prove(place, self._solver.objective_value)

    def _model(self) -> tuple[Decisions, list]:
        """Made once: limits on earlier terms only ever get tighter."""
        if self._decisions is None:
            self._decisions = Decisions(self.network, self.shapes, self.horizon)
            add_constraints(self._decisions)
            self._terms = list(objective.terms(self._decisions).values())
        return self._decisions, self._terms

    def _prove(self, place: int, bound: float) -> None:
        least = int(bound + 1 - 1e-6)
        if place == len(objective.TERMS) - 1 and self.horizon < self.network.horizon:
            least = min(least, bounds.least_flow_beyond(self.network, self.shapes, self.horizon))
        self.best.prove(place, least)


def _counting(solver: cp_model.CpSolver) -> cp_model.CpSolver:
    """Whether few dates can stay is settled soonest by asking for none to move, then for one, and so on."""
    solver.parameters.optimize_with_core = True
    solver.parameters.use_new_integer_conflict_resolution = True
    solver.parameters.linearization_level = 0
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    return solver


class _Listener(cp_model.CpSolverSolutionCallback):
    def __init__(self, decisions: Decisions, best: Best) -> None:
        super().__init__()
        self.decisions, self.best = decisions, best

    def on_solution_callback(self) -> None:
        self.best.hear(tuple(self.decisions.placed(self.value, index) for index in range(len(self.decisions.tasks))))


def horizon(network: Network, best: Best) -> int:
    """Sessions the model looks at: half as long again as the best schedule. What lies beyond is bounded for flow only;
    for the terms before it, "least" means least among plans that end by then."""
    last = max((placed.end for placed in best.state.schedule), default=0)
    return min(network.horizon, last + max(40, (last - network.first) // 2))

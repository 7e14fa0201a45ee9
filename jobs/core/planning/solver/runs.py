"""One run of the solver in the background, heard from and stopped in the caller's own thread."""

from collections.abc import Callable
from queue import Empty, Queue
from threading import Thread

from ortools.sat.python import cp_model

from jobs.core.planning.network import Schedule
from jobs.core.planning.solver.variables import Decisions

LISTEN_SECONDS = 0.05

Found = Callable[[Schedule | None, float], None]


class _Listener(cp_model.CpSolverSolutionCallback):
    """Puts every schedule found in a queue."""

    def __init__(self, decisions: Decisions, queue: Queue) -> None:
        super().__init__()
        self.decisions, self.queue = decisions, queue

    def on_solution_callback(self) -> None:
        schedule = tuple(self.decisions.placed(self.Value, index) for index in range(len(self.decisions.tasks)))
        self.queue.put((schedule, self.best_objective_bound))


def run(decisions: Decisions, settings, found: Found, watch) -> int:
    """Search until done, out of time, or told to stop; every schedule and bound goes to `found`. Returns the status."""
    solver, queue = _solver(settings), Queue()
    solver.best_bound_callback = lambda bound: queue.put((None, bound))
    statuses: list[int] = []
    search = Thread(target=lambda: statuses.append(solver.solve(decisions.model, _Listener(decisions, queue))), daemon=True)
    search.start()
    while search.is_alive():
        _hear(queue, found)
        if not watch.is_stopped and watch.should_stop():
            watch.is_stopped = True
            solver.stop_search()
    search.join()
    while not queue.empty():
        _hear(queue, found)
    return statuses[0] if statuses else cp_model.UNKNOWN


def _hear(queue: Queue, found: Found) -> None:
    try:
        found(*queue.get(timeout=LISTEN_SECONDS))
    except Empty:
        return


def _solver(settings) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = settings.random_seed
    if settings.is_deterministic:
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = settings.seconds
    else:
        solver.parameters.num_workers = settings.workers
        solver.parameters.max_time_in_seconds = settings.seconds
    return solver

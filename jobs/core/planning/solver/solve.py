"""Make a schedule better until time is up or nothing can be better: the terms of the aim one after the other."""

from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic

from ortools.sat.python import cp_model

from jobs.core.planning.network import Network, Schedule, score
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver import objective, runs
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.variables import Decisions

FIRST_SHARE = 0.4
"""At most this share of the time left goes to each term before the last."""


@dataclass(frozen=True)
class Settings:
    """How long and how to search. `is_deterministic` counts work, not time, and uses one worker."""

    seconds: float = 5.0
    workers: int = 2
    random_seed: int = 1
    is_deterministic: bool = False


@dataclass(frozen=True)
class State:
    """The best so far and what is proven: no schedule has a smaller `bound`, read term by term."""

    schedule: Schedule
    score: tuple[int, ...]
    bound: tuple[int, ...]
    is_optimal: bool = False


@dataclass
class Watch:
    """What the caller hears and says while the solver runs."""

    on_state: Callable[[State, str], None] = lambda state, term: None
    should_stop: Callable[[], bool] = lambda: False
    is_stopped: bool = field(default=False, init=False)


def solve(network: Network, seed: Schedule, settings: Settings, watch: Watch | None = None) -> State:
    """The best schedule found, never worse than `seed`, which must keep all rules of the network."""
    watch, ends_at = watch or Watch(), monotonic() + settings.seconds
    state = State(seed, score(network, seed), (0, 0, 0, 0))
    decisions = _decisions(network, seed)
    terms = objective.terms(decisions)
    for place, name in enumerate(objective.TERMS):
        state, is_proven = _minimise(decisions, terms[name], place, state, _share(settings, place, ends_at), watch)
        decisions.model.add(terms[name] <= state.score[place])
        if watch.is_stopped:
            return state
        proven_so_far = is_proven if place == 0 else proven_so_far and is_proven
    return State(state.schedule, state.score, state.bound, proven_so_far)


def _decisions(network: Network, seed: Schedule) -> Decisions:
    shapes = Shapes(network)
    decisions = Decisions(network, shapes, horizon(network, seed))
    add_constraints(decisions)
    return decisions


def horizon(network: Network, seed: Schedule) -> int:
    """Sessions the model looks at: half as long again as the seed, so that nothing good lies beyond."""
    last = max((placed.end for placed in seed), default=0)
    return min(network.horizon, last + max(40, (last - network.first) // 2))


def _share(settings: Settings, place: int, ends_at: float) -> Settings:
    if settings.is_deterministic:
        return settings
    left = max(0.05, ends_at - monotonic())
    is_last = place == len(objective.TERMS) - 1
    return Settings(left if is_last else left * FIRST_SHARE, settings.workers, settings.random_seed)


def _minimise(
    decisions: Decisions, term, place: int, state: State, settings: Settings, watch: Watch
) -> tuple[State, bool]:
    """Make one term small with those before it held; whether it is proven smallest."""
    if state.score[place] == 0:
        return state, True
    name = objective.TERMS[place]
    decisions.model.minimize(term)
    decisions.hint(state.schedule)

    def found(schedule: Schedule | None, bound: float) -> None:
        nonlocal state
        state = _better(decisions.network, state, schedule, place, bound)
        watch.on_state(state, name)

    status = runs.run(decisions, settings, found, watch)
    is_proven = status == cp_model.OPTIMAL
    if is_proven:
        state = _better(decisions.network, state, None, place, state.score[place])
    return state, is_proven


def _better(network: Network, state: State, schedule: Schedule | None, place: int, bound: float) -> State:
    """The state after hearing of a schedule and a bound of the term at `place`; terms before it are at their bound."""
    best, best_score = state.schedule, state.score
    if schedule is not None:
        its_score = score(network, schedule)
        if its_score < best_score:
            best, best_score = schedule, its_score
    proven = max(0, min(int(bound + 0.999999), best_score[place]))
    bounds = (*state.bound[:place], max(state.bound[place], proven), *state.bound[place + 1 :])
    return State(best, best_score, bounds, state.is_optimal)

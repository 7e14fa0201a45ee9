"""The best schedule so far and what is proven, shared by those who search at the same time."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from threading import Lock

from jobs.core.planning.network import Network, Schedule, score


@dataclass(frozen=True)
class State:
    """`proven` counts the first terms of the score known to be least; the `bound` after them holds as long as they do."""

    schedule: Schedule
    score: tuple[int, ...]
    bound: tuple[int, ...]
    proven: int = 0

    @property
    def is_optimal(self) -> bool:
        """Whether every term of the score is proven least."""
        return self.proven == len(self.score)


class Best:
    """`hear` and `prove` may be called from any thread; listeners are called by `tell` alone, in the caller's."""

    def __init__(self, network: Network, seed: Schedule, least: tuple[int, ...] = (0, 0, 0, 0)) -> None:
        """`least`: what each term of the score is at the least."""
        self.network = network
        self.state = State(seed, score(network, seed), least)
        self.is_over = False
        self._lock = Lock()
        self._told: State | None = None

    def hear(self, schedule: Schedule) -> bool:
        """Take a schedule if it is better; tell whether it was."""
        its_score = score(self.network, schedule)
        with self._lock:
            is_better = its_score < self.state.score
            if is_better:
                self.state = replace(self.state, schedule=schedule, score=its_score)
        return is_better

    def prove(self, place: int, bound: int) -> None:
        """No schedule with the terms before `place` at their least has this term below `bound`."""
        with self._lock:
            if self.state.proven >= place:
                least = min(self.state.score[place], max(self.state.bound[place], bound))
                bounds = (*self.state.bound[:place], least, *self.state.bound[place + 1 :])
                is_least = least == self.state.score[place]
                self.state = replace(self.state, bound=bounds, proven=max(self.state.proven, place + is_least))

    def tell(self, on_change: Callable[[State], None]) -> None:
        """Hand over the state if it changed since it was last told."""
        if self.state is not self._told:
            self._told = self.state
            on_change(self._told)

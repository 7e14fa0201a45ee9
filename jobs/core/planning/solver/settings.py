"""How long and how to search."""

from dataclasses import dataclass, replace
from time import monotonic

from ortools.sat.python import cp_model


@dataclass(frozen=True)
class Settings:
    """`is_deterministic` counts work instead of time and uses one worker: the same result on any machine.

    `ends_at` is the moment of the monotonic clock at which time is up.
    """

    seconds: float = 5.0
    workers: int = 2
    random_seed: int = 1
    is_deterministic: bool = False
    ends_at: float = 0.0

    def started(self) -> "Settings":
        """The same, its time running from now."""
        return replace(self, ends_at=monotonic() + self.seconds)

    @property
    def seconds_left(self) -> float:
        """Seconds until time is up; all of them when work is counted instead."""
        return self.seconds if self.is_deterministic else self.ends_at - monotonic()

    @property
    def is_time_up(self) -> bool:
        """Whether time is up; never when work is counted instead."""
        return not self.is_deterministic and monotonic() >= self.ends_at

    def share(self, share: float) -> "Settings":
        """Settings for a part of what is left."""
        return replace(self, seconds=max(0.05, self.seconds_left * share))

    def solver(self) -> cp_model.CpSolver:
        """A solver held to these settings."""
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = self.random_seed
        solver.parameters.num_workers = 1 if self.is_deterministic else max(1, self.workers)
        if self.is_deterministic:
            solver.parameters.max_deterministic_time = self.seconds
        else:
            solver.parameters.max_time_in_seconds = self.seconds
        return solver

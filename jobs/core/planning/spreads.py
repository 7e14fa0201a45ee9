"""How far work lands from its estimate: one spread for each stage, and one for other trades."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from jobs.core.planning.problem import Package, Visit
from jobs.core.stages import Stage

PRIOR_SPREADS: Mapping[Stage, float] = MappingProxyType(
    {Stage.STRIP_OUT: 0.30, Stage.FIRST_FIX: 0.25, Stage.SECOND_FIX: 0.20, Stage.TEST: 0.25}
)
"""Standard deviation of log(hours taken / hours estimated) of a package until the firm's own records say otherwise.

0.25: two packages in three take between 0.78 and 1.28 times their estimate (common practice, no source).
"""

VISIT_SPREAD = 0.15
"""The same of another trade's visit, of which only the overrun counts: their slot is theirs (common practice, no source)."""


@dataclass(frozen=True)
class Spreads:
    """Hours taken are the estimate times a log-normal factor of median 1; a spread is the deviation of its logarithm."""

    by_stage: Mapping[Stage, float] = field(default_factory=lambda: PRIOR_SPREADS)
    visits: float = VISIT_SPREAD

    def of(self, activity: Package | Visit) -> float:
        """The spread of a package's stage or of visits; 0 for a stage without one: its hours are taken as certain."""
        return self.visits if isinstance(activity, Visit) else self.by_stage.get(activity.stage, 0.0)

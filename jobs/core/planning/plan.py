"""What the planner answers: where everything falls, who does it, what binds it, and what is broken."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from jobs.core.planning.problem import Booking, Mix


class Status(StrEnum):
    """What a plan is: proven best; keeping every rule; or breaking some, or without dates (`Plan.messages` say why)."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"


@dataclass(frozen=True)
class Span:
    """Where an activity falls.

    `first` and `last` are the first and last session it touches. `starts_at` and `ends_at` keep
    fractions: 3.5 is half way through session 3. `mix` is the crew of a package.
    """

    key: str
    first: int
    last: int
    starts_at: float
    ends_at: float
    mix: Mix | None = None


@dataclass(frozen=True)
class Objective:
    """What the planner makes small, the first term before everything else, and so on.

    `late_sessions`: sessions promised finishes are missed by. `told_moved`: told dates that move.
    `week_moved`: packages booked in the coming week that move. `flow`: lower is earlier, with fewer gaps.
    """

    late_sessions: int = 0
    told_moved: int = 0
    week_moved: int = 0
    flow: int = 0

    def terms(self) -> tuple[int, int, int, int]:
        """The terms in their order, to compare plans by."""
        return (self.late_sessions, self.told_moved, self.week_moved, self.flow)

    def __lt__(self, other: "Objective") -> bool:
        return self.terms() < other.terms()


@dataclass(frozen=True)
class Broken:
    """A rule a plan breaks: its name, the activities or people concerned, and a sentence."""

    rule: str
    words: str
    keys: tuple[str, ...] = ()


class CauseKind(StrEnum):
    """What binds a start; `NOW` is the first session that can be planned, `FLOW` that nothing else binds it."""

    NOW = "now"
    STARTED = "started"
    PIN = "pin"
    ACCEPTED = "accepted"
    TOLD = "told"
    NOT_BEFORE = "not_before"
    DELIVERY = "delivery"
    PREDECESSOR = "predecessor"
    DRYING = "drying"
    INSIDE = "inside"
    CREW_ELSEWHERE = "crew_elsewhere"
    PERSON_AWAY = "person_away"
    TRADE_CLOSED = "trade_closed"
    BOARDS_OPEN = "boards_open"
    SAME_DAY = "same_day"
    FLOW = "flow"


@dataclass(frozen=True)
class Cause:
    """Why an activity starts no earlier. `because_of` is the activity to ask next, if any."""

    kind: CauseKind
    words: str
    because_of: str | None = None


@dataclass(frozen=True)
class Wish:
    """One pin, accepted visit or promise in a conflict, and what giving it up would bring."""

    key: str
    kind: str
    words: str
    if_relaxed: str = ""


@dataclass(frozen=True)
class Conflict:
    """Wishes that cannot all hold together. `is_smallest`: no smaller set conflicts (proven)."""

    wishes: tuple[Wish, ...]
    is_smallest: bool
    words: str


@dataclass(frozen=True)
class Plan:
    """A whole answer. `bound`: no plan has a smaller objective than this, term by term as far as proven.

    `gap`: how far `flow` is above its bound, 0.0 when proven best. `messages`: sentences about bad input.
    """

    status: Status
    spans: Mapping[str, Span] = field(default_factory=dict)
    bookings: tuple[Booking, ...] = ()
    objective: Objective = Objective()
    bound: Objective = Objective()
    gap: float = 1.0
    broken: tuple[Broken, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    causes: Mapping[str, Cause] = field(default_factory=dict)
    messages: tuple[str, ...] = ()


@dataclass(frozen=True)
class Progress:
    """How an improving run stands."""

    seconds: float
    objective: Objective
    bound: Objective
    gap: float
    stage: str = ""

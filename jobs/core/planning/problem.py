"""What the planner is asked: people, work packages, visits, links, pins, promises. Plain frozen data.

Time is a session number of `Problem.sessions` (half working days; rest days have no number).
Keys are opaque strings chosen by the caller, for example "package:12" and "visit:3"; packages and
visits share one key space and together are called activities. Hours are person-hours.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import IntEnum, StrEnum
from functools import cached_property

from jobs.core.stages import Stage
from jobs.core.workdays import Sessions


class Grade(IntEnum):
    """Grades nest: whoever may do the work of a higher grade may help with that of a lower."""

    LABOURER = 1
    APPRENTICE = 2
    IMPROVER = 3
    ELECTRICIAN = 4


UNDER_18_DAY_HOURS = 8.0
UNDER_18_WEEK_HOURS = 40.0
"""Working time of young workers (Working Time Regulations 1998, regulation 5A)."""


@dataclass(frozen=True)
class Person:
    """One of the crew.

    `productivity`: 1.0 is an electrician working alone. `away`: session numbers with the reason.
    `morning_hours`, `afternoon_hours`: hours worked in such a session when fewer than the firm's.
    The limits hold for planned hours. Someone `is_under_18` until session `adult_from` (None: throughout) is until
    then also held to `UNDER_18_DAY_HOURS` and `young_weekly_hours`, themselves at most `UNDER_18_WEEK_HOURS`.
    """

    key: str
    name: str
    grade: Grade = Grade.ELECTRICIAN
    productivity: float = 1.0
    may_test: bool = False
    needs_supervision: bool = False
    is_under_18: bool = False
    away: Mapping[int, str] = field(default_factory=dict)
    morning_hours: float | None = None
    afternoon_hours: float | None = None
    daily_hours_limit: float | None = None
    weekly_hours_limit: float | None = None
    adult_from: int | None = None
    young_weekly_hours: float = UNDER_18_WEEK_HOURS

    def is_young_in(self, session: int) -> bool:
        """Whether they are under 18 on the day of a session."""
        return self.is_under_18 and (self.adult_from is None or session < self.adult_from)

    def must_be_accompanied_in(self, session: int) -> bool:
        """Whether they may work in a session only with an electrician beside them."""
        return self.needs_supervision or self.is_young_in(session)

    @property
    def must_be_accompanied(self) -> bool:
        """Whether they must be in some session."""
        return self.needs_supervision or self.is_under_18

    @property
    def most_young_weekly_hours(self) -> float:
        """Hours a week while under 18: their own limit, at most `UNDER_18_WEEK_HOURS`."""
        return min(self.young_weekly_hours, UNDER_18_WEEK_HOURS)


@dataclass(frozen=True, order=True)
class Mix:
    """A crew a package accepts: electricians, and helpers of any grade from the package's `helper_grade` up."""

    electricians: int
    helpers: int = 0

    @property
    def people(self) -> int:
        """How many people it takes."""
        return self.electricians + self.helpers

    def __str__(self) -> str:
        words = [_count(self.electricians, "electrician"), _count(self.helpers, "helper")]
        return " and ".join(word for word in words if word)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'s' if number > 1 else ''}" if number else ""


@dataclass(frozen=True)
class Package:
    """One stage in one area of one job.

    `labour_hours`: work left, in hours of an electrician alone; fractions of a session are kept.
    `keeps_clear`: areas of the same job where nothing else may run while this package does (boards open).
    `arrivals`: for each delivery it waits for, the first session it can be used, with words.
    `started_on`: set once work has begun. `done_on`: set once finished; a done package is not planned.
    """

    key: str
    job: str
    stage: Stage
    area: str
    title: str
    labour_hours: float
    mixes: tuple[Mix, ...] = (Mix(1), Mix(1, 1), Mix(2), Mix(2, 1))
    helper_grade: Grade = Grade.LABOURER
    needs_tester: bool = False
    must_close_same_day: bool = False
    not_before: int = 0
    preferred: frozenset[str] = frozenset()
    excluded: frozenset[str] = frozenset()
    keeps_clear: frozenset[str] = frozenset()
    arrivals: tuple["Arrival", ...] = ()
    started_on: date | None = None
    done_on: date | None = None


@dataclass(frozen=True)
class Arrival:
    """A delivery: the first session in which its goods can be used, and what it is, in words."""

    session: int
    words: str


@dataclass(frozen=True)
class Visit:
    """Another trade's attendance. `accepted`: the session agreed, which the planner keeps.

    `closed`: sessions the trade does not work. `declined`: sessions in which they cannot start.
    `asked`: the session they were asked for and have not answered.
    `area` empty means the whole house.
    """

    key: str
    job: str
    trade: str
    title: str
    length_sessions: int
    area: str = ""
    closed: frozenset[int] = frozenset()
    declined: frozenset[int] = frozenset()
    accepted: int | None = None
    asked: int | None = None
    not_before: int = 0
    covers_up: bool = False
    done_on: date | None = None


class LinkKind(StrEnum):
    """`after` starts when `before` has ended, or has started, or runs inside it."""

    FINISH_START = "finish_start"
    START_START = "start_start"
    INSIDE = "inside"


@dataclass(frozen=True)
class Link:
    """`after` waits for `before`; INSIDE means `after` runs only while `before` does.

    `lag_days` are elapsed days counted from the day `before` ends (or starts), rest days included;
    then `lag_sessions` working sessions follow. `spare_sessions` more are kept in hand so that the date of `after`
    holds when work runs late: a wish of the planner's own, no rule.
    """

    before: str
    after: str
    kind: LinkKind = LinkKind.FINISH_START
    lag_sessions: int = 0
    lag_days: int = 0
    reason: str = ""
    spare_sessions: int = 0


@dataclass(frozen=True)
class Pin:
    """A hand decision: an activity starts in `session`, or, with a person, they are on it in that session.

    `is_alongside`: they go with those who do the work, who get it done without them.
    """

    key: str
    activity: str
    session: int
    person: str | None = None
    is_alongside: bool = False


@dataclass(frozen=True)
class Told:
    """Somebody was told that an activity starts in `session`."""

    activity: str
    session: int
    to: str = ""


@dataclass(frozen=True)
class Promise:
    """A job promised finished by the end of the day of `session`, itself the last session allowed."""

    job: str
    session: int
    on: date
    to: str = ""


@dataclass(frozen=True, order=True)
class Booking:
    """A person on a package for a session; `hours` of it go to this package.

    `is_alongside`: they help and learn beside those who do the work; the plan does not count on them.
    """

    session: int
    person: str
    package: str
    hours: float
    is_alongside: bool = False


@dataclass(frozen=True)
class Problem:
    """Everything one plan is made from. `first_session`: nothing new starts before it (now).

    `bookings`: those of the plan people hold; the planner disturbs those of the coming week least.
    `job_names`: how people call each job.
    """

    sessions: Sessions
    people: tuple[Person, ...] = ()
    packages: tuple[Package, ...] = ()
    visits: tuple[Visit, ...] = ()
    links: tuple[Link, ...] = ()
    pins: tuple[Pin, ...] = ()
    told: tuple[Told, ...] = ()
    promises: tuple[Promise, ...] = ()
    bookings: tuple[Booking, ...] = ()
    first_session: int = 0
    job_names: Mapping[str, str] = field(default_factory=dict)

    def person(self, key: str) -> Person:
        """The person of a key; raises StopIteration when there is none."""
        return next(person for person in self.people if person.key == key)

    @cached_property
    def _activities(self) -> dict[str, Package | Visit]:
        return {activity.key: activity for activity in (*self.packages, *self.visits)}

    def activities(self) -> Mapping[str, Package | Visit]:
        """Every package and visit by its key, done ones included."""
        return self._activities

    def open_packages(self) -> Iterable[Package]:
        """Packages still to be done."""
        return (package for package in self.packages if package.done_on is None)

    def open_visits(self) -> Iterable[Visit]:
        """Visits still to come."""
        return (visit for visit in self.visits if visit.done_on is None)

    def job_name(self, job: str) -> str:
        """A job's name, its key where no name was given."""
        return self.job_names.get(job, job)

    def title(self, key: str) -> str:
        """What people call an activity: "First fix upstairs, 12 Mill Lane"."""
        activity = self.activities()[key]
        return f"{activity.title}, {self.job_name(activity.job)}"

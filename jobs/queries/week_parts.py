"""What a week consists of: days, cells, pieces of work, other trades, reasons, and what is wrong."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta

from jobs.core.date_range import DateRange
from jobs.core.stages import Half
from jobs.models import Booking, Job, Order, Person, Plan, Visit, WorkPackage
from jobs.queries.causes import Step
from jobs.queries.finishes import Finish


@dataclass(frozen=True)
class Day:
    """A column of the week. `rest_name` says why nobody works, "" on a working day."""

    on: date
    rest_name: str
    is_today: bool
    is_past: bool

    @property
    def is_working(self) -> bool:
        return not self.rest_name


@dataclass(frozen=True)
class Note:
    """Something the plan breaks, with the number that marks the cells concerned."""

    number: int
    words: str
    keys: frozenset[str]


@dataclass(frozen=True)
class Stint:
    """A person's work in one cell. `numbers` point at notes; `is_new` = not in the plan people hold."""

    booking: Booking
    is_held: bool
    is_new: bool
    is_part: bool
    can_move: bool
    numbers: tuple[int, ...]

    @property
    def same_work(self) -> tuple[object, ...]:
        work = (self.booking.package_id, self.booking.is_alongside)
        return (*work, self.is_held, self.is_new, self.is_part, self.can_move, self.numbers)


@dataclass(frozen=True)
class Block:
    """What somebody does at one job and stage in a cell: one line for each area."""

    stints: tuple[Stint, ...]

    @property
    def job(self) -> Job:
        return self.stints[0].booking.package.job

    @property
    def package(self) -> WorkPackage:
        return self.stints[0].booking.package

    @property
    def is_new(self) -> bool:
        return all(stint.is_new for stint in self.stints)


@dataclass(frozen=True)
class Cell:
    """A half or (`is_whole_day`) a whole day of one person: work, away, resting, or free."""

    half: str
    stints: tuple[Stint, ...] = ()
    away: str = ""
    is_whole_day: bool = False

    @property
    def blocks(self) -> list[Block]:
        by_work: dict[tuple[int, str], list[Stint]] = defaultdict(list)
        for stint in self.stints:
            by_work[stint.booking.package.job_id, stint.booking.package.stage].append(stint)
        return [Block(tuple(stints)) for stints in by_work.values()]

    @property
    def columns(self) -> int:
        return 2 if self.is_whole_day else 1

    @property
    def label(self) -> str:
        return "all day" if self.is_whole_day else Half(self.half).label

    @property
    def is_free(self) -> bool:
        return not self.stints and not self.away

    def is_like(self, other: "Cell") -> bool:
        mine, theirs = ([stint.same_work for stint in cell.stints] for cell in (self, other))
        return self.away == other.away and mine == theirs


@dataclass(frozen=True)
class DayOfPerson:
    day: Day
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class PersonRow:
    person: Person
    days: tuple[DayOfPerson, ...]


@dataclass(frozen=True)
class VisitOnDay:
    """Another trade on one day. `label` says which half when it is not the whole day; `safe_on` stands on its first
    day when four times in five means later. `is_held`: put there by hand; `can_move`: no date is agreed or over."""

    visit: Visit
    label: str
    safe_on: date | None
    numbers: tuple[int, ...]
    is_held: bool = False
    can_move: bool = False


@dataclass(frozen=True)
class DayOfTrades:
    day: Day
    visits: tuple[VisitOnDay, ...]
    orders: tuple[Order, ...]


@dataclass(frozen=True)
class Reason:
    """Why something that starts this week starts then; the first step is the thing itself. `range`: how firm that is."""

    steps: tuple[Step, ...]
    range: DateRange | None


@dataclass(frozen=True)
class Week:
    monday: date
    plan: Plan | None
    days: tuple[Day, ...]
    rows: tuple[PersonRow, ...] = ()
    others: tuple[DayOfTrades, ...] = ()
    notes: tuple[Note, ...] = ()
    reasons: tuple[Reason, ...] = ()
    overdue: tuple[Visit, ...] = ()
    late: tuple[Finish, ...] = ()
    has_new: bool = False
    columns: list["DayColumn"] = field(default_factory=list)

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    @property
    def has_visits(self) -> bool:
        return any(other.visits for other in self.others)

    @property
    def has_orders(self) -> bool:
        return any(other.orders for other in self.others)

    @property
    def before(self) -> date:
        return self.monday - timedelta(days=7)

    @property
    def after(self) -> date:
        return self.monday + timedelta(days=7)


@dataclass(frozen=True)
class DayColumn:
    """The same week read day by day, for a narrow screen; who is free all day is named together."""

    day: Day
    people: tuple[tuple[Person, DayOfPerson], ...]
    free: tuple[Person, ...]
    others: DayOfTrades

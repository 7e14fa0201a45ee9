"""What moved between two plans, in words with the cause: told dates first."""

from collections.abc import Iterator
from dataclasses import dataclass

from jobs.core.planning.plan import Plan
from jobs.core.planning.problem import Booking, Problem, Visit
from jobs.core.planning.reasons import chain
from jobs.core.planning.words import when, when_starts


@dataclass(frozen=True)
class Move:
    """An activity whose start changed.

    `was` or `now` is None when it is new or gone; `told` says who was told the old date.
    """

    key: str
    is_visit: bool
    was: int | None
    now: int | None
    told: str
    words: str
    because: str


@dataclass(frozen=True)
class Rebooking:
    """Bookings of one person in one session that changed."""

    person: str
    session: int
    was: tuple[str, ...]
    now: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class Changes:
    """`told` are moves of dates somebody was told, then other visits, packages and bookings."""

    told: tuple[Move, ...] = ()
    visits: tuple[Move, ...] = ()
    packages: tuple[Move, ...] = ()
    bookings: tuple[Rebooking, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing moved and nobody is booked elsewhere."""
        return not (self.told or self.visits or self.packages or self.bookings)


def compare(problem: Problem, old: Plan, new: Plan) -> Changes:
    """What changes for people when `new` replaces `old`."""
    moves = list(_moves(problem, old, new))
    untold = [move for move in moves if not move.told]
    return Changes(
        told=tuple(move for move in moves if move.told),
        visits=tuple(move for move in untold if move.is_visit),
        packages=tuple(move for move in untold if not move.is_visit),
        bookings=tuple(_rebookings(problem, old, new)),
    )


def _moves(problem: Problem, old: Plan, new: Plan) -> Iterator[Move]:
    told = _told(problem)
    for key, activity in problem.activities().items():
        was, now = _first(old, key), _first(new, key)
        if was != now:
            words = _move_words(problem, key, was, now)
            yield Move(key, isinstance(activity, Visit), was, now, told.get(key, ""), words, _because(problem, new, key))


def _told(problem: Problem) -> dict[str, str]:
    asked = {visit.key: visit.trade for visit in problem.visits if visit.asked is not None or visit.accepted is not None}
    return asked | {told.activity: told.to or "told" for told in problem.told}


def _first(plan: Plan, key: str) -> int | None:
    span = plan.spans.get(key)
    return span.first if span else None


def _move_words(problem: Problem, key: str, was: int | None, now: int | None) -> str:
    title = problem.title(key)
    if was is None:
        return f"{title} is planned for {when_starts(problem, now)}"
    if now is None:
        return f"{title} is no longer planned; it was {when_starts(problem, was)}"
    return f"{title} moves from {when_starts(problem, was)} to {when_starts(problem, now)}"


def _because(problem: Problem, plan: Plan, key: str) -> str:
    return " ← ".join(cause.words for _, cause in chain(problem, plan, key)[:3])


def _rebookings(problem: Problem, old: Plan, new: Plan) -> Iterator[Rebooking]:
    was, now = _by_person(problem, old), _by_person(problem, new)
    names = {person.key: person.name for person in problem.people}
    for session, person in sorted(was.keys() | now.keys()):
        before, after = was.get((session, person), ()), now.get((session, person), ())
        if before != after:
            words = f"{names.get(person, person)}, {when(problem, session)}: {_on(problem, after)} (was {_on(problem, before)})"
            yield Rebooking(person, session, before, after, words)


def _by_person(problem: Problem, plan: Plan) -> dict[tuple[int, str], tuple[str, ...]]:
    """Packages of each person and session from now on."""
    found: dict[tuple[int, str], tuple[str, ...]] = {}
    for booking in sorted(plan.bookings, key=_in_order):
        if booking.session >= problem.first_session:
            at = booking.session, booking.person
            found[at] = (*found.get(at, ()), booking.package)
    return found


def _in_order(booking: Booking) -> tuple[int, str, str]:
    return booking.session, booking.person, booking.package


def _on(problem: Problem, packages: tuple[str, ...]) -> str:
    known = problem.activities()
    return ", ".join(problem.title(key) if key in known else "work taken out" for key in packages) or "free"

"""Name the people: who is on which package in each session of a schedule, kept together and on the same job."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from jobs.core.planning.assignment import cheapest
from jobs.core.planning.build import Built
from jobs.core.planning.crews import Place
from jobs.core.planning.network import Placed, Schedule
from jobs.core.planning.problem import Booking

UNFILLED = 1e6
"""The cost of a place nobody takes; only an overbooked hand decision leaves one."""

LIKES = {"pinned": 1000.0, "booked": 60.0, "planned": 30.0, "same_package": 40.0, "same_job": 20.0, "preferred": 15.0}
"""How strongly a person goes where they were put by hand, are booked, were planned, were last, or are preferred."""

TOO_GOOD = 10.0
"""The cost of an electrician's pace spent as a helper: those who can do more are kept for it."""


def bookings(built: Built, schedule: Schedule) -> tuple[Booking, ...]:
    """Every booking of a schedule; nobody is on two sites in one session."""
    naming = _Naming(built, schedule)
    hours: dict[tuple[int, str, str], float] = defaultdict(float)
    for session in range(built.network.first, max((placed.end for placed in schedule), default=0)):
        for task, people in naming.session(session):
            for person in people:
                hours[session, person, built.parts[task].activity] += naming.hours(task, session, person)
    return tuple(sorted(Booking(*key, round(spent, 4)) for key, spent in hours.items() if spent > 1e-9))


class _Naming:
    def __init__(self, built: Built, schedule: Schedule) -> None:
        self.built, self.schedule = built, schedule
        self.packages = {package.key: package for package in built.problem.packages}
        self.pinned = {(p.session, p.person): p.activity for p in built.problem.pins if p.person}
        self.beside = {(p.session, p.person) for p in built.problem.pins if p.person and p.is_alongside}
        self.booked = _places(built.problem.bookings)
        self.planned = _places(built.before.bookings if built.before else ())
        self.last: dict[str, str] = {}
        self.holding, self.carrying = _by_session(built, schedule)

    def session(self, session: int) -> Iterator[tuple[int, list[str]]]:
        """Each task worked in a session with its people."""
        named = self._hold(session)
        for task in sorted(self.carrying.get(session, ()), key=lambda task: self.schedule[task].start_tick):
            named[task] = self._pick(session, [task] * len(self._places(task)), named[self.schedule[task].host])[task]
        for task, people in named.items():
            self.last.update((person, self.built.parts[task].activity) for person in people)
        yield from named.items()

    def _hold(self, session: int) -> dict[int, list[str]]:
        tasks = self.holding.get(session, ())
        hours = self.built.team.hours
        present = [key for key in self.built.team.people if session in hours[key] and (session, key) not in self.beside]
        return {task: [] for task in tasks} | self._pick(session, [t for t in tasks for _ in self._places(t)], present)

    def _places(self, task: int) -> tuple[Place, ...]:
        crews = self.built.parts[task].crews
        return crews[self.schedule[task].mode].places if crews else ()

    def _pick(self, session: int, rows: list[int], people: list[str]) -> dict[int, list[str]]:
        """Fill the places of tasks (one row each, in the order of the crew's places) from people."""
        counters: dict[int, int] = defaultdict(int)
        costs = []
        for task in rows:
            place = self._places(task)[counters[task]]
            counters[task] += 1
            costs.append([self._cost(session, task, place, person) for person in people] + [UNFILLED] * len(rows))
        picked: dict[int, list[str]] = {task: [] for task in rows}
        for row, column in enumerate(cheapest(costs)):
            task = rows[row]
            if column < len(people) and costs[row][column] < UNFILLED:
                picked[task].append(people[column])
        return picked

    def _cost(self, session: int, task: int, place: Place, person: str) -> float:
        package = self.packages[self.built.parts[task].activity]
        wanted = self.pinned.get((session, person), package.key)
        if person not in place or wanted != package.key:
            return 2 * UNFILLED
        last = self.last.get(person)
        likes = {
            "pinned": (session, person) in self.pinned,
            "booked": (session, person, package.key) in self.booked,
            "planned": (session, person, package.key) in self.planned,
            "same_package": last == package.key,
            "same_job": last is not None and self.packages[last].job == package.job,
            "preferred": person in package.preferred,
        }
        return TOO_GOOD * self.built.team.pace[person] - sum(LIKES[like] for like, holds in likes.items() if holds)

    def hours(self, task: int, session: int, person: str) -> float:
        """The person's hours of the session in the share of it that the task takes."""
        bounds, placed = self.built.network.bounds, self.schedule[task]
        ticks = min(placed.end_tick, bounds[session + 1]) - max(placed.start_tick, bounds[session])
        return ticks / (bounds[session + 1] - bounds[session]) * self.built.team.hours[person].get(session, 0.0)


def _places(bookings: Iterable[Booking]) -> set[tuple[int, str, str]]:
    return {(booking.session, booking.person, booking.package) for booking in bookings if not booking.is_alongside}


def _by_session(built: Built, schedule: Schedule) -> tuple[Mapping[int, list[int]], Mapping[int, list[int]]]:
    """Tasks that hold people in each session, and those that carry on with people of another in it."""
    holding: dict[int, list[int]] = defaultdict(list)
    carrying: dict[int, list[int]] = defaultdict(list)
    for task, placed in enumerate(schedule):
        if built.parts[task].crews:
            _note(task, placed, holding, carrying)
    return holding, carrying


def _note(task: int, placed: Placed, holding: Mapping[int, list[int]], carrying: Mapping[int, list[int]]) -> None:
    if placed.host is not None:
        carrying[placed.first].append(task)
    for session in range(placed.held_from, placed.end):
        holding[session].append(task)

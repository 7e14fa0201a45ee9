"""A plan laid out for the rules: who is where in which session."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from jobs.core.planning.plan import Broken, Plan, Span
from jobs.core.planning.problem import Booking, Link, Package, Person, Problem, Visit
from jobs.core.planning.words import when

Activity = Package | Visit


@dataclass(frozen=True)
class Reading:
    """A problem and a plan with the look-ups rules need. Bookings of unknown people or packages are left out."""

    problem: Problem
    plan: Plan

    @cached_property
    def activities(self) -> Mapping[str, Activity]:
        """Every package and visit by its key, done ones included."""
        return self.problem.activities()

    @cached_property
    def people(self) -> Mapping[str, Person]:
        """Everybody by their key."""
        return {person.key: person for person in self.problem.people}

    @cached_property
    def attendance(self) -> tuple[Booking, ...]:
        """Everyone who is anywhere."""
        known = (b for b in self.plan.bookings if b.person in self.people and b.package in self.activities)
        return tuple(b for b in known if 0 <= b.session < len(self.problem.sessions))

    @cached_property
    def bookings(self) -> tuple[Booking, ...]:
        """Those who do the work, without who is alongside."""
        return tuple(booking for booking in self.attendance if not booking.is_alongside)

    @cached_property
    def by_person_and_session(self) -> Mapping[tuple[str, int], list[Booking]]:
        """Bookings of those who do the work by (person, session)."""
        return _grouped(self.bookings, lambda booking: (booking.person, booking.session))

    @cached_property
    def by_package_and_session(self) -> Mapping[tuple[str, int], list[Booking]]:
        """Bookings of those who do the work by (package, session)."""
        return _grouped(self.bookings, lambda booking: (booking.package, booking.session))

    def spans(self) -> Iterator[tuple[Activity, Span]]:
        """Everything planned, with where it falls."""
        return ((self.activities[key], span) for key, span in self.plan.spans.items() if key in self.activities)

    def packages(self) -> Iterator[tuple[Package, Span]]:
        """Every package planned, with where it falls."""
        return ((activity, span) for activity, span in self.spans() if isinstance(activity, Package))

    def visits(self) -> Iterator[tuple[Visit, Span]]:
        """Every visit planned, with where it falls."""
        return ((activity, span) for activity, span in self.spans() if isinstance(activity, Visit))

    def linked(self) -> Iterator[tuple[Link, Span, Span]]:
        """Links both of whose ends are planned."""
        spans = self.plan.spans
        return (
            (link, spans[link.before], spans[link.after])
            for link in self.problem.links
            if link.before in spans and link.after in spans
        )

    def crew(self, package: str, session: int) -> list[Person]:
        """Who does the work of a package in a session."""
        return [self.people[booking.person] for booking in self.by_package_and_session.get((package, session), ())]

    def present(self, package: str, session: int) -> list[Person]:
        """The crew, and who is alongside."""
        return [self.people[booking.person] for booking in self._present.get((package, session), ())]

    @cached_property
    def _present(self) -> Mapping[tuple[str, int], list[Booking]]:
        return _grouped(self.attendance, lambda booking: (booking.package, booking.session))

    @cached_property
    def attendance_by_person_and_session(self) -> Mapping[tuple[str, int], list[Booking]]:
        """Bookings by (person, session), those alongside included."""
        return _grouped(self.attendance, lambda booking: (booking.person, booking.session))

    def worked(self, key: str) -> frozenset[int]:
        """Sessions in which people are on a package, or in which a visit runs."""
        if isinstance(self.activities[key], Visit):
            span = self.plan.spans[key]
            return frozenset(range(span.first, span.last + 1))
        return self._sessions_of.get(key, frozenset())

    @cached_property
    def _sessions_of(self) -> Mapping[str, frozenset[int]]:
        sessions = defaultdict(set)
        for booking in self.bookings:
            sessions[booking.package].add(booking.session)
        return {key: frozenset(of_key) for key, of_key in sessions.items()}

    def last_session(self, job: str) -> int | None:
        """The last session any activity of a job touches, or None when nothing of it is planned."""
        return max((span.last for activity, span in self.spans() if activity.job == job), default=None)

    def title(self, key: str) -> str:
        """An activity's title with its job, for sentences."""
        return self.problem.title(key)

    def when(self, session: int) -> str:
        """A session in words."""
        return when(self.problem, session)


def broken(rule: Callable, words: str, *keys: str) -> Broken:
    """A break of a rule, named for its function; `keys`: activities, people or jobs concerned."""
    return Broken(rule.__name__, words, keys)


def _grouped(bookings, key) -> Mapping:
    groups = defaultdict(list)
    for booking in bookings:
        groups[key(booking)].append(booking)
    return groups

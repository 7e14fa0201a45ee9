"""Nobody who could help or learn is left at home: who is free and may not lead goes alongside an electrician.

They make no work shorter: the plan does not count on them, and loses nothing when they are called away.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from jobs.core.planning.build import Built
from jobs.core.planning.problem import Booking, Grade, Package, Person
from jobs.core.stages import Stage

WORTH_COMING = 0.5
"""Less than this share of a person's session alongside somebody is not worth the journey (common practice, no source)."""


class _Offer(NamedTuple):
    """An electrician to go with in a session, on one site, and those of their bookings the person may join."""

    lead: str
    job: str
    bookings: tuple[Booking, ...]


def bookings(built: Built, working: Iterable[Booking]) -> tuple[Booking, ...]:
    """Bookings alongside those who do the work of a plan: of people free in a session who may not lead."""
    joining = _Joining(built, tuple(working))
    return tuple(sorted(booking for session in sorted(joining.working) for booking in joining.session(session)))


class _Joining:
    def __init__(self, built: Built, working: tuple[Booking, ...]) -> None:
        self.problem, self.people, self.hours = built.problem, built.team.people, built.team.hours
        self.packages = {package.key: package for package in built.problem.packages}
        self.working = _by_session_and_person(working)
        self.held = _places(built.problem.bookings)
        self.planned = _places(built.before.bookings if built.before else ())
        self.pinned = {(pin.session, pin.person): pin.activity for pin in built.problem.pins if pin.person}
        self.there: dict[tuple[int, str], list[str]] = defaultdict(list)
        for booking in working:
            self.there[booking.session, booking.package].append(booking.person)
        self.joined: dict[tuple[int, str], int] = defaultdict(int)
        self.job_of_day = {(b.person, self._day(b.session)): self.packages[b.package].job for b in working}
        self.last: dict[str, tuple[str, str]] = {}

    def session(self, session: int) -> Iterator[Booking]:
        """The bookings of everyone who is free in a session and finds an electrician to go with."""
        for person in self._free(session):
            offers = list(self._offers(session, person))
            if offers:
                yield from self._go(session, person, max(offers, key=lambda offer: self._liking(session, person, offer)))
        for person, theirs in self.working[session].items():
            self.last[person] = (person, self.packages[theirs[-1].package].job)

    def _free(self, session: int) -> list[Person]:
        """Those who need an electrician most come first."""
        free = [
            person
            for key, person in self.people.items()
            if session in self.hours[key] and key not in self.working[session] and not _may_lead(person)
        ]
        return sorted(free, key=lambda p: (not p.is_young_in(session), not p.must_be_accompanied_in(session), -p.grade, p.key))

    def _offers(self, session: int, person: Person) -> Iterator[_Offer]:
        for lead, theirs in sorted(self.working[session].items()):
            if _may_lead(self.people[lead]):
                own = tuple(self._beside(person, booking) for booking in theirs if self._may_join(session, person, booking))
                if sum(booking.hours for booking in own) >= WORTH_COMING * self.hours[person.key][session]:
                    yield _Offer(lead, self.packages[theirs[0].package].job, own)

    def _beside(self, person: Person, booking: Booking) -> Booking:
        """The same share of the session as the electrician, and never longer than they are there."""
        share = booking.hours / self.hours[booking.person][booking.session]
        hours = min(booking.hours, share * self.hours[person.key][booking.session])
        return Booking(booking.session, person.key, booking.package, round(hours, 4), is_alongside=True)

    def _may_join(self, session: int, person: Person, booking: Booking) -> bool:
        wanted = self.pinned.get((session, person.key), booking.package)
        package, there = self.packages[booking.package], [self.people[key] for key in self.there[session, booking.package]]
        leads = sum(_may_lead(other) for other in there)
        accompanied = sum(other.must_be_accompanied_in(session) for other in (*there, person))
        has_room = accompanied <= leads and self.joined[session, booking.package] < leads
        return wanted == package.key and has_room and may_help(package, person, session)

    def _liking(self, session: int, person: Person, offer: _Offer) -> tuple:
        """Where they were told to go first, then one site all day, the site and the electrician of last time."""
        keys = {booking.package for booking in offer.bookings}
        last_lead, last_job = self.last.get(person.key, ("", ""))
        return (
            any((session, person.key, key) in self.held for key in keys),
            any((session, person.key, key) in self.planned for key in keys),
            self.job_of_day.get((person.key, self._day(session))) == offer.job,
            self._is_all_day(session, person, offer.job),
            last_job == offer.job,
            any(person.key in self.packages[key].preferred for key in keys),
            last_lead == offer.lead,
            sum(booking.hours for booking in offer.bookings),
        )

    def _is_all_day(self, session: int, person: Person, job: str) -> bool:
        """Whether there is an electrician to go with on the site in every session of the day."""
        day = self._day(session)
        halves = (s for s in (session - 1, session + 1) if self._day(s) == day)
        return all(any(self._is_work_for(person, job, theirs) for theirs in self.working[half].values()) for half in halves)

    def _is_work_for(self, person: Person, job: str, theirs: list[Booking]) -> bool:
        led = [booking for booking in theirs if _may_lead(self.people[booking.person])]
        works = [(self.packages[booking.package], booking.session) for booking in led]
        return any(package.job == job and may_help(package, person, session) for package, session in works)

    def _go(self, session: int, person: Person, offer: _Offer) -> Iterator[Booking]:
        self.last[person.key] = (offer.lead, offer.job)
        self.job_of_day.setdefault((person.key, self._day(session)), offer.job)
        for booking in offer.bookings:
            self.there[session, booking.package].append(person.key)
            self.joined[session, booking.package] += 1
            yield booking

    def _day(self, session: int) -> object:
        return self.problem.sessions.on(session)


def may_help(package: Package, person: Person, session: int) -> bool:
    """Whether the stage takes such a helper; live testing is no place for someone under 18."""
    is_test = package.needs_tester or package.stage == Stage.TEST
    is_kept_off = person.key in package.excluded or (person.is_young_in(session) and is_test)
    return person.grade >= package.helper_grade and not is_kept_off


def _may_lead(person: Person) -> bool:
    return person.grade == Grade.ELECTRICIAN and not person.must_be_accompanied


def _places(bookings: Iterable[Booking]) -> set[tuple[int, str, str]]:
    return {(booking.session, booking.person, booking.package) for booking in bookings if booking.is_alongside}


def _by_session_and_person(working: tuple[Booking, ...]) -> dict[int, dict[str, list[Booking]]]:
    found: dict[int, dict[str, list[Booking]]] = defaultdict(lambda: defaultdict(list))
    for booking in working:
        found[booking.session][booking.person].append(booking)
    return found

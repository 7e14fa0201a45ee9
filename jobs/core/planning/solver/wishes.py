"""Pins, accepted visits and promises as literals of a model that otherwise keeps only the facts."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from jobs.core.planning.build import Built
from jobs.core.planning.crews import Crew
from jobs.core.planning.network import Schedule
from jobs.core.planning.plan import Wish
from jobs.core.planning.problem import Pin, Problem, Promise, Visit
from jobs.core.planning.shapes import Shapes
from jobs.core.planning.solver.constraints import add_constraints
from jobs.core.planning.solver.variables import Decisions
from jobs.core.planning.words import when, when_starts


@dataclass(frozen=True)
class Wished:
    """A wish with its literal, and the expression that says how far a plan without it strays, with the words for that."""

    wish: Wish
    literal: object
    strays: object
    result: object
    kind: str


def facts_only(problem: Problem) -> Problem:
    """The problem without pins and with no visit accepted; an agreed session counts as one the trade works."""
    return replace(problem, pins=(), visits=tuple(_unagreed(visit) for visit in problem.visits))


def _unagreed(visit: Visit) -> Visit:
    return replace(visit, accepted=None, closed=visit.closed - {visit.accepted}, declined=visit.declined - {visit.accepted})


class WishModel:
    """A model in which every wish may be asked for or not."""

    def __init__(self, problem: Problem, built: Built, horizon: int, schedule: Schedule) -> None:
        """`built` from the facts only, `schedule` one that keeps them."""
        self.problem, self.built = problem, built
        self.decisions = Decisions(self.built.network, Shapes(self.built.network), min(horizon, self.built.network.horizon))
        add_constraints(self.decisions)
        self.decisions.hint(schedule)
        self.model = self.decisions.model
        self.wished = [*self._starts(), *self._people(), *self._promises()]
        self._one_place_at_a_time()

    def _starts(self) -> Iterator[Wished]:
        for visit in self.problem.open_visits():
            if visit.accepted is not None:
                words = f"{self.problem.title(visit.key)} was agreed for {when_starts(self.problem, visit.accepted)}"
                yield self._start(Wish(visit.key, "accepted", words), visit.key, visit.accepted)
        for pin in self._pins():
            if pin.person is None:
                words = f"{self.problem.title(pin.activity)} is pinned to {when_starts(self.problem, pin.session)}"
                yield self._start(Wish(pin.key, "pin", words), pin.activity, pin.session)

    def _pins(self) -> Iterator[Pin]:
        open_pins = (pin for pin in self.problem.pins if pin.activity in self.built.tasks_of)
        return (pin for pin in open_pins if pin.session >= self.problem.first_session)

    def _start(self, wish: Wish, activity: str, session: int) -> Wished:
        first, literal = self.decisions.tasks[self.built.tasks_of[activity][0]].first, self.model.new_bool_var(wish.key)
        self.model.add(first == session).only_enforce_if(literal)
        strays = self.model.new_int_var(0, self.decisions.network.horizon, f"{wish.key} strays")
        self.model.add_abs_equality(strays, first - session)
        return Wished(wish, literal, strays, first, "start")

    def _people(self) -> Iterator[Wished]:
        names = {person.key: person.name for person in self.problem.people}
        for pin in self._pins():
            if pin.person is not None:
                where = f"{self.problem.title(pin.activity)} for {when(self.problem, pin.session)}"
                yield self._person(pin, Wish(pin.key, "pin", f"{names[pin.person]} is pinned to {where}"))

    def _person(self, pin: Pin, wish: Wish) -> Wished:
        """The activity must run then, with a crew the person has a place in, and they must be there."""
        task = self.built.tasks_of[pin.activity][0]
        its, crews, literal = self.decisions.tasks[task], self.built.parts[task].crews, self.model.new_bool_var(wish.key)
        self.model.add(its.first <= pin.session).only_enforce_if(literal)
        self.model.add(its.end > pin.session).only_enforce_if(literal)
        fitting = [v.chosen for v in its.variants if pin.is_alongside or _has_place(crews[v.mode], pin.person)]
        is_there = pin.session in self.built.team.hours[pin.person]
        self.model.add_bool_or([literal.negated(), *(fitting if is_there else [])])
        return Wished(wish, literal, None, its.first, "person")

    def _promises(self) -> Iterator[Wished]:
        jobs = {promise.job: promise for promise in self.problem.promises}
        for number, group in enumerate(self.decisions.network.aim.groups):
            job = self._job_of(group.tasks[0])
            if job in jobs:
                yield self._promise(jobs[job], number)

    def _job_of(self, task: int) -> str:
        return self.problem.activities()[self.built.parts[task].activity].job

    def _promise(self, promise: Promise, number: int) -> Wished:
        words = (
            f"{self.problem.job_name(promise.job)} is promised to {promise.to or 'the customer'} "
            f"for {promise.on:%a} {promise.on.day} {promise.on:%b}"
        )
        literal = self.model.new_bool_var(promise.job)
        finish = self.model.new_int_var(0, self.decisions.network.horizon, f"finish of {promise.job}")
        for task in self.decisions.network.aim.groups[number].tasks:
            self.model.add(finish >= self.decisions.tasks[task].end)
        self.model.add(finish <= promise.session + 1).only_enforce_if(literal)
        return Wished(Wish(promise.job, "promise", words), literal, finish, finish, "promise")

    def _one_place_at_a_time(self) -> None:
        """A person pinned to two packages in one half day can keep at most one of the pins, unless on one site."""
        pins = {pin.key: pin for pin in self._pins() if pin.person is not None}
        jobs = {package.key: package.job for package in self.problem.packages}
        people = [one for one in self.wished if one.kind == "person"]
        for number, one in enumerate(people):
            for other in people[:number]:
                a, b = pins[one.wish.key], pins[other.wish.key]
                if (a.person, a.session) == (b.person, b.session) and jobs[a.activity] != jobs[b.activity]:
                    self.model.add_bool_or([one.literal.negated(), other.literal.negated()])


def _has_place(crew: Crew, person: str) -> bool:
    return any(person in place for place in crew.places)


def solver(seconds: float) -> cp_model.CpSolver:
    """A solver of two workers held to so many seconds, at least 0.05."""
    found = cp_model.CpSolver()
    found.parameters.num_workers = 2
    found.parameters.max_time_in_seconds = max(0.05, seconds)
    return found

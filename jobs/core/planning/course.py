"""A plan as its work hands on: stretches of work, what each waits for, and who goes where next.

Time is counted in ticks of the planner's clock; `bounds[s]` is the tick at which session s begins. Only what the
plan itself keeps becomes a wait: what a hand move broke is told elsewhere and stays out of here.
"""

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from graphlib import TopologicalSorter
from itertools import accumulate, pairwise

from jobs.core.planning import availability, edges, weights
from jobs.core.planning.build import clashes
from jobs.core.planning.network import Edge
from jobs.core.planning.plan import Plan, Span
from jobs.core.planning.problem import Link, LinkKind, Problem, Visit
from jobs.core.planning.reading import Activity, Reading


@dataclass(frozen=True)
class Stretch:
    """Sessions in a row in which the same people are on one activity; a visit is one stretch.

    `start`, `end`: its ticks in the plan. `work`: ticks of work in between, of a visit whole sessions. `starts`:
    sessions it may begin in; `worked`: sessions it can be worked in. `earliest`: the tick from which it could
    start if nothing were before it. `floor`: the tick it waits for in any case: the slot of a visit, or the plan's
    own start where the plan leaves a gap. `slot`: the tick before which its people do not turn to it: the plan's own
    start, unless it waits for them alone.
    """

    activity: str
    start: int
    end: int
    work: int
    starts: tuple[int, ...]
    worked: tuple[int, ...]
    people: frozenset[str] = frozenset()
    is_visit: bool = False
    earliest: int = 0
    floor: int = 0
    slot: int = 0


@dataclass(frozen=True)
class Course:
    """`stretches_of`: the stretches of each activity, in order.

    `waits[i]`: the work that stretch i waits for. `handovers[i]`: the stretches its people come from. People who
    find their next work not ready go on with what comes after it, as any foreman has it (and the next plan): what a
    handover passes on is how long the work before took, not how long it waited.
    """

    bounds: tuple[int, ...]
    stretches: tuple[Stretch, ...]
    stretches_of: dict[str, tuple[int, ...]]
    waits: tuple[tuple[Edge, ...], ...]
    handovers: tuple[tuple[int, ...], ...]

    @cached_property
    def order(self) -> tuple[int, ...]:
        """The stretches such that each comes after all it waits for and all its people come from."""
        before = {i: [*(edge.before for edge in some), *self.handovers[i]] for i, some in enumerate(self.waits)}
        return tuple(TopologicalSorter(before).static_order())

    def ready(self, edge: Edge, start: int, end: int) -> int:
        """The first tick a wait allows when what it waits for runs from tick `start` to tick `end`."""
        return ready(self.bounds, edge, start, end)

    def begin(self, index: int, tick: int) -> int:
        """The first tick from `tick` on at which a stretch can begin; the calendar's end when there is none."""
        return begin(self.bounds, self.stretches[index], tick)

    def finish(self, index: int, start: int, work: int) -> int:
        """The tick a stretch ends when so much work (ticks; of a visit sessions) begins at `start`."""
        stretch, bounds = self.stretches[index], self.bounds
        at = bisect_left(stretch.worked, bisect_right(bounds, start) - 1)
        if stretch.is_visit:
            last = at + work - 1
            return bounds[stretch.worked[last] + 1] if last < len(stretch.worked) else bounds[-1]
        for session in stretch.worked[at:]:
            begins = max(start, bounds[session])
            if begins + work <= bounds[session + 1]:
                return begins + work
            work -= bounds[session + 1] - begins
        return bounds[-1]

    def last_session(self, start: int, end: int) -> int:
        """The last session touched by what runs from tick `start` to tick `end`."""
        return max(bisect_right(self.bounds, start), bisect_left(self.bounds, end)) - 1


def begin(bounds: tuple[int, ...], stretch: Stretch, tick: int) -> int:
    """Visits begin with a session; our own people go on within one, also from house to house."""
    session = bisect_left(bounds, tick) if stretch.is_visit else bisect_right(bounds, tick) - 1
    at = bisect_left(stretch.starts, session)
    return max(tick, bounds[stretch.starts[at]]) if at < len(stretch.starts) else bounds[-1]


def ready(bounds: tuple[int, ...], edge: Edge, start: int, end: int) -> int:
    """The first tick an edge allows when what it waits for runs from tick `start` to tick `end`."""
    if edge.table is None:
        return start if edge.from_start else end
    session = bisect_right(bounds, start) - 1 if edge.from_start else bisect_left(bounds, end)
    return bounds[edge.table[min(session, len(edge.table) - 1)]]


def course(problem: Problem, plan: Plan) -> Course:
    """How the plan's work follows on from one another. The problem must have passed `input_checks.sentences`."""
    bounds = tuple(accumulate((round(h * weights.TICKS_PER_HOUR) for h in problem.sessions.hours), initial=0))
    laying = _Laying(Reading(problem, plan), bounds)
    stretches = [stretch for key in laying.open_keys() for stretch in laying.stretches(key)]
    stretches_of = _by_activity(stretches)
    handovers = _handovers(stretches)
    waits: list[list[Edge]] = [[] for _ in stretches]
    for edge in dict.fromkeys(_edges(problem, stretches, stretches_of)):
        if _is_kept(bounds, stretches, edge):
            waits[edge.after].append(edge)
    kept = [[b for b in sorted(handovers[i]) if _is_kept(bounds, stretches, Edge(b, i))] for i in range(len(stretches))]
    held = (_held(bounds, stretches, waits[i], kept[i], i) for i in range(len(stretches)))
    return Course(bounds, tuple(held), stretches_of, tuple(map(tuple, waits)), tuple(map(tuple, kept)))


class _Laying:
    """Cuts activities into stretches."""

    def __init__(self, reading: Reading, bounds: tuple[int, ...]) -> None:
        self.reading, self.problem, self.bounds = reading, reading.problem, bounds
        self.heads = Counter(s for person in self.problem.people for s in availability.session_hours(self.problem, person))
        self.staffed: dict[int, tuple[int, ...]] = {}
        self.sessions = tuple(range(len(self.problem.sessions)))

    def open_keys(self) -> list[str]:
        """Those with a place within the calendar."""
        activities, spans = (*self.problem.open_packages(), *self.problem.open_visits()), self.reading.plan.spans
        return [a.key for a in activities if a.key in spans and spans[a.key].last < len(self.sessions)]

    def stretches(self, key: str) -> Iterator[Stretch]:
        activity, span = self.reading.activities[key], self.reading.plan.spans[key]
        earliest = self.bounds[min(self._earliest(activity), len(self.bounds) - 1)]
        if isinstance(activity, Visit):
            yield self._visit(activity, span, earliest)
        else:
            yield from self._package(key, span, earliest)

    def _earliest(self, activity: Activity) -> int:
        arrivals = [arrival.session for arrival in getattr(activity, "arrivals", ())]
        released = edges.released(self.problem, activity.key)
        return max([self.problem.first_session, activity.not_before, released, *arrivals])

    def _visit(self, visit: Visit, span: Span, earliest: int) -> Stretch:
        worked = self._open_but(visit.closed, span.first)
        start = self.bounds[span.first]
        return Stretch(
            activity=visit.key,
            start=start,
            end=self.bounds[span.last + 1],
            work=bisect_right(worked, span.last) - bisect_left(worked, span.first),
            starts=self._open_but(visit.closed | visit.declined, span.first),
            worked=worked,
            is_visit=True,
            earliest=earliest,
            floor=start,
        )

    def _open_but(self, closed: frozenset[int], first: int) -> tuple[int, ...]:
        """Every session but these; the one the visit is planned for counts in any case."""
        if not closed:
            return self.sessions
        return tuple(s for s in self.sessions if s == first or s not in closed)

    def _package(self, key: str, span: Span, earliest: int) -> Iterator[Stretch]:
        now = self.bounds[min(self.problem.first_session, len(self.bounds) - 1)]
        pinned = {pin.session for pin in self.problem.pins if pin.activity == key and not pin.is_alongside}
        for number, (sessions, people) in enumerate(self._runs(key, span)):
            start, end = self._ticks(span, sessions)
            worked = self._worked(len(people), sessions)
            floor = start if pinned & set(sessions) else now
            yield Stretch(key, start, end, end - start, worked, worked, people, earliest=now if number else earliest, floor=floor)

    def _ticks(self, span: Span, sessions: list[int]) -> tuple[int, int]:
        """Where a run begins and ends: within a session only at the ends of the activity."""
        begins, ends = self.bounds[sessions[0]], self.bounds[sessions[-1] + 1]
        if sessions[0] == span.first:
            begins = self._tick(span.first, span.starts_at)
        if sessions[-1] == span.last:
            ends = self._tick(span.last, span.ends_at)
        return begins, max(ends, begins)

    def _tick(self, session: int, at: float) -> int:
        begins, ends = self.bounds[session], self.bounds[session + 1]
        return begins + round((at - session) * (ends - begins))

    def _runs(self, key: str, span: Span) -> Iterator[tuple[list[int], frozenset[str]]]:
        """Sessions in a row with the same people; a package nobody is booked on is one run."""
        sessions = sorted(self.reading.worked(key)) or range(span.first, span.last + 1)
        crews = {session: frozenset(person.key for person in self.reading.crew(key, session)) for session in sessions}
        run: list[int] = []
        for session, people in crews.items():
            if run and (session != run[-1] + 1 or crews[run[-1]] != people):
                yield run, crews[run[-1]]
                run = []
            run.append(session)
        yield run, crews[run[-1]]

    def _worked(self, count: int, planned: list[int]) -> tuple[int, ...]:
        """Sessions in which the firm has people enough: who goes on holiday leaves late work to somebody else."""
        if count not in self.staffed:
            there = (s for s in range(self.problem.first_session, len(self.problem.sessions)) if self.heads[s] >= count)
            self.staffed[count] = tuple(there)
        missing = [s for s in planned if self.heads[s] < count]
        return tuple(sorted({*self.staffed[count], *missing})) if missing else self.staffed[count]


def _by_activity(stretches: Iterable[Stretch]) -> dict[str, tuple[int, ...]]:
    found: dict[str, tuple[int, ...]] = {}
    for index, stretch in enumerate(stretches):
        found[stretch.activity] = (*found.get(stretch.activity, ()), index)
    return found


def _handovers(stretches: list[Stretch]) -> Mapping[int, set[int]]:
    """Each stretch with those its people come from."""
    days_of: dict[str, list[int]] = defaultdict(list)
    for index in sorted(range(len(stretches)), key=lambda index: (stretches[index].start, stretches[index].end)):
        for person in stretches[index].people:
            days_of[person].append(index)
    found: dict[int, set[int]] = defaultdict(set)
    for theirs in days_of.values():
        for before, after in pairwise(theirs):
            if stretches[before].end <= stretches[after].start:
                found[after].add(before)
    return found


def _edges(problem: Problem, stretches: list[Stretch], stretches_of: dict[str, tuple[int, ...]]) -> Iterator[Edge]:
    links = (replace(link, spare_sessions=0) for link in (*problem.links, *_inner_waits(problem)))
    yield from edges.edges(replace(problem, links=tuple(links)), stretches_of)
    next_session = tuple(range(len(problem.sessions) + 1))
    for pair in clashes(problem, stretches_of):
        before, after = sorted(pair, key=lambda index: stretches[index].start)
        if stretches[before].start < stretches[after].start:
            yield Edge(before, after, next_session)


def _inner_waits(problem: Problem) -> Iterator[Link]:
    """What waits for a host to end also waits for what runs inside it: floors stay open that long."""
    hosts = [(link.before, link.after) for link in problem.links if link.kind == LinkKind.INSIDE]
    for host, child in hosts:
        for link in problem.links:
            if link.before == host and link.kind == LinkKind.FINISH_START and link.after != child:
                yield replace(link, before=child)


def _is_kept(bounds: tuple[int, ...], stretches: list[Stretch], edge: Edge) -> bool:
    before, after = stretches[edge.before], stretches[edge.after]
    return begin(bounds, after, ready(bounds, edge, before.start, before.end)) <= after.start


def _held(
    bounds: tuple[int, ...], stretches: list[Stretch], waits: list[Edge], handovers: list[int], index: int
) -> Stretch:
    """A stretch that the plan starts later than anything before it asks for is held at its planned start."""
    stretch = stretches[index]
    freed = [stretches[before].end for before in handovers]
    asked = [ready(bounds, edge, stretches[edge.before].start, stretches[edge.before].end) for edge in waits]
    waits_for_people = bool(freed) and begin(bounds, stretch, max(freed)) == stretch.start
    is_held = begin(bounds, stretch, max([stretch.earliest, stretch.floor, *freed, *asked])) < stretch.start
    return replace(
        stretch,
        floor=stretch.start if is_held else stretch.floor,
        slot=stretch.floor if waits_for_people and not is_held else stretch.start,
    )

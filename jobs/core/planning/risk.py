"""How firm a plan's dates are: the plan lived through thousands of times with work that takes more or less than estimated.

Each package's labour is its estimate times a log-normal factor of median 1 (`spreads`); another trade's visit keeps
its slot and may overrun. In every draw work goes in the plan's order: packages and visits wait for what they are
linked to, drying takes its elapsed days, and people go from one place to the next as they are booked. A visit never
starts before its slot; work of our own starts early only where the plan leaves no gap before it. Without spread the
draws are the plan; more spread never makes a safe date earlier.

The draws of one activity cover its spread evenly (Latin hypercube sampling, McKay, Beckman and Conover 1979), in an
order that hangs on its key alone: the same plan always gives the same answer, and a change elsewhere adds no noise.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from functools import lru_cache
from statistics import NormalDist
from zlib import crc32

import numpy as np

from jobs.core.planning.course import Course, Stretch, course
from jobs.core.planning.network import Edge
from jobs.core.planning.plan import Plan
from jobs.core.planning.problem import Problem, Visit
from jobs.core.planning.spreads import Spreads

DRAWS = 10_000
LIKELY, SAFE = 0.5, 0.8
"""As likely as not, and four times in five."""

Ticks = np.ndarray


@dataclass(frozen=True)
class Range:
    """Where an activity falls over all draws, in sessions: P50 and P80 of its first and its last.

    `holds`: share of draws in which it starts on or before the day it was agreed or told, else planned, to.
    """

    likely_first: int
    safe_first: int
    likely_last: int
    safe_last: int
    holds: float


@dataclass(frozen=True)
class Finish:
    """The last session of a job over all draws; `holds`: share of draws in which it meets its promise (None: no promise)."""

    likely_last: int
    safe_last: int
    holds: float | None


@dataclass(frozen=True)
class Risk:
    """`spare`: sessions to keep in hand before each visit asked about, so that its date holds four times in five."""

    ranges: Mapping[str, Range] = field(default_factory=dict)
    finishes: Mapping[str, Finish] = field(default_factory=dict)
    spare: Mapping[str, int] = field(default_factory=dict)


def measure(
    problem: Problem,
    plan: Plan,
    spreads: Spreads,
    *,
    offered: Collection[str] = (),
    draws: int = DRAWS,
    seed: int = 1,
) -> Risk:
    """P50, P80 and the chance to hold of everything planned.

    `offered`: visits still to be offered; each moves to its safe session before what follows it is drawn.
    """
    return _Draws(problem, course(problem, plan), spreads, frozenset(offered), draws, seed).run()


class _Draws:
    """Every array holds one number for each draw; the first is the plan without spread and counts for nothing else."""

    def __init__(
        self, problem: Problem, the_course: Course, spreads: Spreads, offered: frozenset[str], draws: int, seed: int
    ) -> None:
        self.problem, self.course, self.spreads = problem, the_course, spreads
        self.offered, self.draws, self.seed = offered, draws, seed
        self.activities = problem.activities()
        self.clock = _Clock(the_course.bounds)
        self.tables: dict[tuple[object, ...], _Table] = {}
        self.handing_on = {before for some in the_course.handovers for before in some}
        self.starts: dict[int, Ticks] = {}
        self.ends: dict[int, Ticks] = {}
        self.freed: dict[int, Ticks] = {}
        self.factors: dict[str, np.ndarray] = {}
        self.spare: dict[str, int] = {}

    def run(self) -> Risk:
        for index in self.course.order:
            self._live_through(index)
        lasts = {
            key: self.clock.last(self.starts[some[-1]], self.ends[some[-1]])
            for key, some in self.course.stretches_of.items()
        }
        ranges = {key: self._range(key, last) for key, last in lasts.items()}
        return Risk(ranges, dict(self._finishes(lasts)), self.spare)

    def _live_through(self, index: int) -> None:
        stretch, table = self.course.stretches[index], self._table(self.course.stretches[index])
        ready = np.full(self.draws + 1, stretch.earliest, dtype=np.int32)
        for edge in self.course.waits[index]:
            np.maximum(ready, self.clock.ready(edge, self.starts[edge.before], self.ends[edge.before]), out=ready)
        floor = max(stretch.floor, self._safe_tick(stretch, table, ready) if stretch.activity in self.offered else 0)
        freed, work = self._freed(index), self._work(stretch)
        self.starts[index] = table.begin[np.maximum(np.maximum(ready, freed), floor)]
        self.ends[index] = table.finish(self.starts[index], work)
        if index in self.handing_on:
            self.freed[index] = table.finish(table.begin[np.maximum(freed, stretch.slot)], work)

    def _freed(self, index: int) -> Ticks:
        """When the people of a stretch have done what they were booked on before."""
        freed = np.zeros(self.draws + 1, dtype=np.int32)
        for before in self.course.handovers[index]:
            np.maximum(freed, self.freed[before], out=freed)
        return freed

    def _safe_tick(self, stretch: Stretch, table: "_Table", ready: Ticks) -> int:
        sessions = self.clock.session[table.begin[ready]]
        safe = max(_quantile(self.clock.shares(sessions), SAFE), int(sessions[0]))
        self.spare[stretch.activity] = safe - int(sessions[0])
        return self.course.bounds[min(safe, len(self.course.bounds) - 1)]

    def _table(self, stretch: Stretch) -> "_Table":
        key = (stretch.starts, stretch.worked, stretch.is_visit)
        if key not in self.tables:
            self.tables[key] = _Table(self.clock, stretch)
        return self.tables[key]

    def _work(self, stretch: Stretch) -> Ticks:
        """Ticks of work, of a visit sessions; all stretches of a package share its factor."""
        factor = self._factor(stretch.activity)
        if stretch.is_visit:
            factor = np.maximum(factor, 1.0)
        return np.maximum(np.rint(stretch.work * factor), min(1, stretch.work)).astype(np.int32)

    def _factor(self, key: str) -> np.ndarray:
        if key not in self.factors:
            random = np.random.Generator(np.random.SFC64([self.seed, crc32(key.encode())]))
            spread = self.spreads.of(self.activities[key])
            self.factors[key] = np.append(1.0, random.permutation(_even_factors(spread, self.draws)))
        return self.factors[key]

    def _range(self, key: str, last: Ticks) -> Range:
        index = self.course.stretches_of[key][0]
        firsts = self.clock.shares(self.clock.session[self.starts[index]])
        lasts, wanted = self.clock.shares(last), self._wanted(key, index)
        quantiles = [_quantile(shares, share) for shares in (firsts, lasts) for share in (LIKELY, SAFE)]
        return Range(*quantiles, holds=float(firsts[min(wanted, len(firsts) - 1)]))

    def _wanted(self, key: str, index: int) -> int:
        """The last session of the day an activity should start on by what was agreed or said, else by the plan."""
        activity = self.activities[key]
        said = [activity.accepted] if isinstance(activity, Visit) else []
        said += [told.session for told in self.problem.told if told.activity == key]
        said += [activity.asked] if isinstance(activity, Visit) else []
        planned = int(self.clock.session[self.course.stretches[index].start])
        wanted = next((session for session in said if session is not None), planned)
        return self.problem.sessions.first_on_or_after(self.problem.sessions.on(wanted) + timedelta(days=1)) - 1

    def _finishes(self, lasts: Mapping[str, Ticks]) -> Iterator[tuple[str, Finish]]:
        promises = {promise.job: promise.session for promise in self.problem.promises}
        jobs: dict[str, list[Ticks]] = defaultdict(list)
        for key, last in lasts.items():
            jobs[self.activities[key].job].append(last)
        for job, some in jobs.items():
            shares = self.clock.shares(np.maximum.reduce(some))
            holds = float(shares[promises[job]]) if promises.get(job, -1) >= 0 else 0.0 if job in promises else None
            yield job, Finish(_quantile(shares, LIKELY), _quantile(shares, SAFE), holds)


class _Clock:
    """Ticks and sessions of the calendar as tables. `session[tick]` is the session a tick falls in, `past[tick]` the
    session after the last one worked for work that ends then."""

    def __init__(self, bounds: tuple[int, ...]) -> None:
        self.bounds = np.asarray(bounds, dtype=np.int32)
        self.lengths = np.diff(self.bounds)
        ticks = np.arange(bounds[-1] + 1)
        self.session = np.searchsorted(self.bounds, ticks, side="right").astype(np.int32) - 1
        self.past = np.searchsorted(self.bounds, ticks, side="left").astype(np.int32)
        self.tables: dict[int, Ticks] = {}

    def ready(self, edge: Edge, starts: Ticks, ends: Ticks) -> Ticks:
        """The first tick a wait allows, in each draw."""
        if edge.table is None:
            return starts if edge.from_start else ends
        if id(edge.table) not in self.tables:
            sessions = self.session if edge.from_start else self.past
            table = np.asarray(edge.table, dtype=np.int32)
            self.tables[id(edge.table)] = self.bounds[table[np.minimum(sessions, len(table) - 1)]]
        return self.tables[id(edge.table)][starts if edge.from_start else ends]

    def last(self, starts: Ticks, ends: Ticks) -> Ticks:
        """The last session touched, in each draw."""
        return np.maximum(self.session[starts], self.past[ends] - 1)

    def shares(self, sessions: Ticks) -> np.ndarray:
        """Share of draws that lie in or before each session; the entry past the last stands for never."""
        counts = np.bincount(sessions[1:], minlength=len(self.bounds))
        return np.cumsum(counts) / (len(sessions) - 1)


class _Table:
    """When a stretch can begin, by tick, and how its work runs on over the sessions it can be worked in."""

    def __init__(self, clock: _Clock, stretch: Stretch) -> None:
        self._clock, self._is_visit = clock, stretch.is_visit
        sessions = len(clock.lengths)
        is_worked = np.zeros(sessions, dtype=bool)
        is_worked[list(stretch.worked)] = True
        self.begin = _visit_begins(clock, stretch.starts) if stretch.is_visit else _begins(clock, is_worked)
        if stretch.is_visit:
            self._done = np.concatenate(([0], np.cumsum(is_worked)))
            self._ends = np.concatenate(([0], clock.bounds[np.flatnonzero(is_worked) + 1], [clock.bounds[-1]])).astype(np.int32)
        else:
            ticks = np.repeat(is_worked, clock.lengths)
            self._done = np.concatenate(([0], np.cumsum(ticks))).astype(np.int32)
            self._ends = np.concatenate(([0], np.flatnonzero(ticks) + 1, [clock.bounds[-1]])).astype(np.int32)

    def finish(self, starts: Ticks, work: Ticks) -> Ticks:
        """The tick at which so much work ends; the calendar's end when it does not fit before."""
        at = self._clock.session[starts] if self._is_visit else starts
        return np.where(work > 0, self._ends[np.minimum(self._done[at] + work, len(self._ends) - 1)], starts)


def _visit_begins(clock: _Clock, starts: tuple[int, ...]) -> Ticks:
    allowed = np.append(clock.bounds[list(starts)], clock.bounds[-1])
    return allowed[np.searchsorted(allowed[:-1], np.arange(len(clock.session)))]


def _begins(clock: _Clock, is_worked: np.ndarray) -> Ticks:
    ticks = np.append(np.flatnonzero(np.repeat(is_worked, clock.lengths)), clock.bounds[-1]).astype(np.int32)
    return ticks[np.searchsorted(ticks[:-1], np.arange(len(clock.session)))]


def _quantile(shares: np.ndarray, share: float) -> int:
    """The first session by which at least so many draws lie."""
    return int(np.searchsorted(shares, share - 1e-12))


@lru_cache(maxsize=16)
def _even_factors(spread: float, draws: int) -> np.ndarray:
    return np.exp(spread * _even_normals(draws))


@lru_cache(maxsize=4)
def _even_normals(draws: int) -> np.ndarray:
    """Standard normal deviates in the middle of equally likely steps, smallest first."""
    normal = NormalDist()
    return np.array([normal.inv_cdf((step + 0.5) / draws) for step in range(draws)])

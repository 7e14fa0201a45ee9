"""From a problem in the firm's words to the engine's network, and the way back."""

from collections.abc import Iterable, Set
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import accumulate, pairwise, permutations
from math import ceil

from jobs.core.planning import crews, edges, people_sets, weights
from jobs.core.planning.crews import Crew, Place, Team
from jobs.core.planning.network import Aim, Group, Inside, Mode, Network, Task
from jobs.core.planning.plan import Plan
from jobs.core.planning.problem import LinkKind, Package, Pin, Problem, Visit

PAST_THE_CALENDAR = 10**6
"""The end of a visit that finds no room before the calendar ends."""


@dataclass(frozen=True)
class Part:
    """A task of the network: one activity, or one part of a package too long to plan in one piece."""

    activity: str
    number: int
    count: int
    ticks_of_work: float = 0.0
    crews: tuple[Crew, ...] = ()


@dataclass(frozen=True)
class Built:
    """A network with what its tasks stand for. `parts[i]` belongs to `network.tasks[i]`; crews to its modes.

    `before`: the plan people looked at until now; nothing is to move from it for nothing.
    """

    problem: Problem
    team: Team
    sets: tuple[Place, ...]
    parts: tuple[Part, ...]
    network: Network
    before: Plan | None = None

    @cached_property
    def tasks_of(self) -> dict[str, tuple[int, ...]]:
        """The tasks of each activity, in order."""
        return _tasks_of(self.parts)


def build(problem: Problem, before: Plan | None = None) -> Built:
    """The network of everything still to be done. The problem must have passed `input_checks.sentences`."""
    team = crews.team(problem)
    bounds = tuple(accumulate((round(h * weights.TICKS_PER_HOUR) for h in problem.sessions.hours), initial=0))
    parts = _parts(problem, team, bounds)
    sets = people_sets.unions(place for part in parts for crew in part.crews for place in crew.places)
    tasks, parts = _tasks(problem, team, sets, parts)
    tasks_of = _tasks_of(parts)
    network = Network(
        bounds=bounds,
        days=tuple(session.on.toordinal() for session in problem.sessions.sessions),
        tasks=tasks,
        edges=edges.edges(problem, tasks_of),
        capacity=_capacity(problem, team, sets, parts, tasks_of),
        aim=_aim(problem, tasks_of, len(tasks), before),
        insides=_insides(problem, tasks_of, tasks, bounds),
        clashes=clashes(problem, tasks_of),
        carry_pairs=_carry_pairs(problem, parts),
        first=problem.first_session,
    )
    return Built(problem, team, sets, parts, network, before)


def _tasks_of(parts: tuple[Part, ...]) -> dict[str, tuple[int, ...]]:
    found: dict[str, tuple[int, ...]] = {}
    for index, part in enumerate(parts):
        found[part.activity] = (*found.get(part.activity, ()), index)
    return found


def _parts(problem: Problem, team: Team, bounds: tuple[int, ...]) -> tuple[Part, ...]:
    ways = {package.key: crews.crews(team, package) for package in problem.open_packages()}
    different = {crew.places for some in ways.values() for crew in some}
    longest = {places: _longest_run(problem, team, places, bounds) for places in different}
    packages = (part for package in problem.open_packages() for part in _parts_of(package, ways[package.key], longest))
    visits = (Part(visit.key, 0, 1) for visit in problem.open_visits())
    return (*packages, *visits)


def _parts_of(package: Package, ways: tuple[Crew, ...], longest: dict[tuple[Place, ...], int]) -> Iterable[Part]:
    """Fewest equal parts such that some crew can do each without a break."""
    work = package.labour_hours * weights.TICKS_PER_HOUR
    most = max((longest[crew.places] * crew.pace for crew in ways), default=0)
    count = 1 if package.must_close_same_day or not most else max(1, ceil(work / most - 1e-9))
    return (Part(package.key, number, count, work / count, ways) for number in range(count))


def _longest_run(problem: Problem, team: Team, places: tuple[Place, ...], bounds: tuple[int, ...]) -> int:
    """Ticks of the longest stretch without a break, of those a week long at most, that starts within a month."""
    best = run = 0
    for number in range(problem.first_session, len(problem.sessions)):
        if run == 0 and number > problem.first_session + 4 * weights.COMING_WEEK_SESSIONS:
            break
        run = min(run + 1, weights.LONGEST_PART_SESSIONS) if _is_there(team, places, number) else 0
        best = max(best, bounds[number + 1] - bounds[number + 1 - run])
        if run == weights.LONGEST_PART_SESSIONS:
            break
    return best


def _is_there(team: Team, places: tuple[Place, ...], number: int) -> bool:
    return crews.can_fill(frozenset(key for key in place if number in team.hours[key]) for place in places)


def _tasks(
    problem: Problem, team: Team, sets: tuple[Place, ...], parts: tuple[Part, ...]
) -> tuple[tuple[Task, ...], tuple[Part, ...]]:
    """The tasks, and the parts with only those crews that became modes."""
    activities = problem.activities()
    made = [_task(problem, sets, part, activities[part.activity]) for part in parts]
    return tuple(task for task, _ in made), tuple(part for _, part in made)


def _task(problem: Problem, sets: tuple[Place, ...], part: Part, activity: Package | Visit) -> tuple[Task, Part]:
    if isinstance(activity, Visit):
        return _visit_task(problem, activity), part
    pins = [pin for pin in _pins(problem) if pin.activity == activity.key and part.number == 0]
    modes, kept = _modes(sets, part, [pin.person for pin in pins if pin.person and not pin.is_alongside])
    earliest = max(
        [problem.first_session, activity.not_before, edges.released(problem, activity.key)]
        + [arrival.session for arrival in activity.arrivals]
    )
    task = Task(
        key=activity.key,
        group=activity.job,
        modes=modes,
        earliest=earliest,
        fixed=next((pin.session for pin in pins if pin.person is None), None),
        running_in=frozenset(pin.session for pin in pins if pin.person),
        must_close_same_day=activity.must_close_same_day,
    )
    return task, Part(part.activity, part.number, part.count, part.ticks_of_work, kept)


def _pins(problem: Problem) -> Iterable[Pin]:
    """Pins that can still be kept."""
    return (pin for pin in problem.pins if pin.session >= problem.first_session)


def _modes(sets: tuple[Place, ...], part: Part, pinned: list[str]) -> tuple[tuple[Mode, ...], tuple[Crew, ...]]:
    """One mode for each crew that no other crew betters: no slower, and taking no more of any set."""
    ways = [crew for crew in part.crews if _holds(crew, pinned)]
    found = [(Mode(ceil(part.ticks_of_work / crew.pace - 1e-9), people_sets.demands(crew.places, sets)), crew) for crew in ways]
    found.sort(key=lambda pair: (pair[0].ticks, pair[0].demands))
    kept: list[tuple[Mode, Crew]] = []
    for mode, crew in found:
        if not any(_betters(other, mode) for other, _ in kept):
            kept.append((mode, crew))
    return tuple(mode for mode, _ in kept), tuple(crew for _, crew in kept)


def _holds(crew: Crew, people: list[str]) -> bool:
    """Whether all these people can have a place in the crew at once."""
    return crews.can_fill(
        frozenset(str(number) for number, place in enumerate(crew.places) if person in place) for person in set(people)
    )


def _betters(one: Mode, other: Mode) -> bool:
    return one.ticks <= other.ticks and all(a <= b for a, b in zip(one.demands, other.demands, strict=False))


def _visit_task(problem: Problem, visit: Visit) -> Task:
    fixed = next((pin.session for pin in _pins(problem) if pin.activity == visit.key), visit.accepted)
    starts = frozenset(range(len(problem.sessions))) - visit.closed - visit.declined
    now = problem.first_session if fixed is None else min(fixed, problem.first_session)
    return Task(
        key=visit.key,
        group=visit.job,
        earliest=max(now, visit.not_before, edges.released(problem, visit.key)),
        starts=None if fixed is not None else starts,
        fixed=fixed,
        ends=visit_ends(problem, visit),
    )


def visit_ends(problem: Problem, visit: Visit) -> tuple[int, ...]:
    """The session after the last of a visit, by start session; it pauses while the trade does not work."""
    count = len(problem.sessions)
    if not visit.closed:
        ends = range(visit.length_sessions, count + visit.length_sessions)
        return tuple(end if end <= count else PAST_THE_CALENDAR for end in ends)
    is_closed = [session in visit.closed for session in range(count)]
    ends = [session + 1 for session in range(count) if not is_closed[session]]
    ends += [PAST_THE_CALENDAR] * visit.length_sessions
    passed = accumulate((not closed for closed in is_closed), initial=0)
    left = visit.length_sessions - 1
    return tuple(
        start + 1 if closed and not left else ends[before + left - closed]
        for start, (closed, before) in enumerate(zip(is_closed, passed, strict=False))
    )


def _capacity(
    problem: Problem, team: Team, sets: tuple[Place, ...], parts: tuple[Part, ...], tasks_of: dict[str, tuple[int, ...]]
) -> tuple[tuple[int, ...], ...]:
    there = [frozenset(key for key in team.people if s in team.hours[key]) for s in range(len(problem.sessions))]
    rows = [[len(people & present) for present in there] for people in sets]
    for pin in _pins(problem):
        if pin.person and pin.activity in tasks_of and pin.session < len(there):
            _reserve(rows, sets, pin, parts[tasks_of[pin.activity][0]].crews)
    return tuple(tuple(max(0, count) for count in row) for row in rows)


def _reserve(rows: list[list[int]], sets: tuple[Place, ...], pin: Pin, ways: tuple[Crew, ...]) -> None:
    """A pinned person is lost to every set that does not hold the whole of the place they fill; alongside, to all."""
    filled = [] if pin.is_alongside else [min((p for p in crew.places if pin.person in p), key=len) for crew in ways]
    for row, people in zip(rows, sets, strict=False):
        if pin.person in people and not (filled and all(place <= people for place in filled)):
            row[pin.session] -= 1


def _aim(problem: Problem, tasks_of: dict[str, tuple[int, ...]], count: int, before: Plan | None) -> Aim:
    jobs: dict[str, list[int]] = {}
    for activity in (*problem.open_packages(), *problem.open_visits()):
        jobs.setdefault(activity.job, []).extend(tasks_of[activity.key])
    due = {promise.job: promise.session + 1 for promise in problem.promises}
    groups = tuple(
        Group(tuple(tasks), weights.FINISH_OF_JOB, weights.STRETCH_OF_JOB, due.get(job)) for job, tasks in jobs.items()
    )
    told, week = _told(problem, tasks_of), _coming_week(problem, tasks_of)
    kept = _kept(problem, tasks_of, before, told.keys() | week.keys()) if before else {}
    return Aim(groups, told, week, (weights.END_OF_ACTIVITY,) * count, kept, weights.MOVED_START)


def _kept(problem: Problem, tasks_of: dict[str, tuple[int, ...]], before: Plan, dearer: Set[int]) -> dict[int, int]:
    """Starts of the plan before that lie ahead, without those kept for a better reason."""
    ahead = {
        tasks_of[key][0]: span.first
        for key, span in before.spans.items()
        if key in tasks_of and span.first >= problem.first_session
    }
    return {task: session for task, session in ahead.items() if task not in dearer}


def _told(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> dict[int, int]:
    told = {visit.key: visit.asked for visit in problem.visits if visit.asked is not None}
    told |= {told.activity: told.session for told in problem.told}
    return {tasks_of[key][0]: session for key, session in told.items() if key in tasks_of}


def _coming_week(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> dict[int, int]:
    until = problem.first_session + weights.COMING_WEEK_SESSIONS
    starts: dict[int, int] = {}
    for booking in sorted(problem.bookings):
        if booking.package in tasks_of and not booking.is_alongside and problem.first_session <= booking.session < until:
            starts.setdefault(tasks_of[booking.package][0], booking.session)
    return starts


def _insides(
    problem: Problem, tasks_of: dict[str, tuple[int, ...]], tasks: tuple[Task, ...], bounds: tuple[int, ...]
) -> tuple[Inside, ...]:
    """What runs inside what; where the host is too short to hold it, its start must still fall inside."""
    links = [link for link in edges.open_links(problem, tasks_of) if link.kind == LinkKind.INSIDE]
    pairs = [(tasks_of[link.before], child) for link in links for child in tasks_of[link.after]]
    return tuple(Inside(hosts[-1], child, _is_too_short(tasks, bounds, hosts, child)) for hosts, child in pairs)


def _is_too_short(tasks: tuple[Task, ...], bounds: tuple[int, ...], hosts: tuple[int, ...], child: int) -> bool:
    shortest_session = min(b - a for a, b in pairwise(bounds))
    longest_host = max((ceil(mode.ticks / shortest_session) for mode in tasks[hosts[-1]].modes), default=0)
    return len(hosts) == 1 and longest_host < _least_sessions(tasks[child], shortest_session)


def _least_sessions(task: Task, shortest_session: int) -> int:
    if task.ends is not None:
        return min(end - start for start, end in enumerate(task.ends))
    return min((ceil(mode.ticks / shortest_session) for mode in task.modes), default=0)


def clashes(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> tuple[tuple[int, int], ...]:
    """Pairs of tasks that may not share a session: work with boards open, and what else is in the areas it keeps clear.

    `tasks_of`: each activity's tasks. Work that belongs inside other work by a link does not clash with it.
    """
    exempt = {frozenset((link.before, link.after)) for link in problem.links if link.kind == LinkKind.INSIDE}
    pairs = {
        tuple(sorted((package.key, other.key)))
        for package in problem.open_packages()
        if package.keeps_clear
        for other in (*problem.open_packages(), *problem.open_visits())
        if other.key != package.key
        and other.job == package.job
        and other.area in package.keeps_clear
        and frozenset((package.key, other.key)) not in exempt
    }
    return tuple((a, b) for one, two in sorted(pairs) for a in tasks_of[one] for b in tasks_of[two])


def _carry_pairs(problem: Problem, parts: tuple[Part, ...]) -> dict[tuple[int, int], frozenset[tuple[int, int]]]:
    """Packages of the same job between which a crew may carry on within a session."""
    jobs: dict[str, list[int]] = {}
    job_of = {package.key: package.job for package in problem.packages}
    for task, part in enumerate(parts):
        if part.crews and part.ticks_of_work:
            jobs.setdefault(job_of[part.activity], []).append(task)
    pairs = (pair for tasks in jobs.values() for pair in permutations(tasks, 2))
    crews_of = [tuple(crew.places for crew in part.crews) for part in parts]
    found = {(a, b): _mode_pairs(crews_of[a], crews_of[b]) for a, b in pairs if _may_follow(parts[a], parts[b])}
    return {pair: modes for pair, modes in found.items() if modes}


def _may_follow(before: Part, after: Part) -> bool:
    """A later part carries on from the part before it alone: two crews in one session would look like one."""
    return after.number == 0 or (before.activity == after.activity and before.number == after.number - 1)


@lru_cache(maxsize=4096)
def _mode_pairs(before: tuple[tuple[Place, ...], ...], after: tuple[tuple[Place, ...], ...]) -> frozenset[tuple[int, int]]:
    """Which crews may carry on from which, each way of one package with each of another."""
    return frozenset((m, n) for m, one in enumerate(before) for n, two in enumerate(after) if crews.may_carry_on(one, two))

"""Links between activities as edges between the network's tasks, and what finished work has released."""

from collections.abc import Iterable
from datetime import timedelta
from itertools import pairwise

from jobs.core.planning.network import Edge
from jobs.core.planning.problem import Link, LinkKind, Problem


def open_links(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> Iterable[Link]:
    """Links between activities that are both still to be done."""
    return (link for link in problem.links if link.before in tasks_of and link.after in tasks_of)


def edges(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> tuple[Edge, ...]:
    """Edges of all links, and those that keep the parts of one package in order."""
    within = [Edge(a, b) for tasks in tasks_of.values() for a, b in pairwise(tasks)]
    return (*within, *(_edge(problem, link, tasks_of) for link in open_links(problem, tasks_of) if _binds(problem, link)))


def _binds(problem: Problem, link: Link) -> bool:
    """Whether a link still holds back: what waits for a start waits no longer once it has started."""
    before = problem.activities()[link.before]
    return link.kind == LinkKind.FINISH_START or getattr(before, "started_on", None) is None


def _edge(problem: Problem, link: Link, tasks_of: dict[str, tuple[int, ...]]) -> Edge:
    after, has_lag = tasks_of[link.after][0], bool(link.lag_days or link.lag_sessions)
    if link.kind == LinkKind.FINISH_START:
        return Edge(tasks_of[link.before][-1], after, _ends(problem, link) if has_lag else None)
    return Edge(tasks_of[link.before][0], after, _starts(problem, link) if has_lag else None, from_start=True)


def _starts(problem: Problem, link: Link) -> tuple[int, ...]:
    count = len(problem.sessions)
    return tuple(min(count, _released_after(problem, link, first)) for first in range(count))


def _ends(problem: Problem, link: Link) -> tuple[int, ...]:
    """By the session past the last of `before`; 0 stands for work that ended before the first session."""
    count = len(problem.sessions)
    after_last = (_released_after(problem, link, end - 1) for end in range(1, count + 1))
    lagged = (
        [max(end, start) for end, start in enumerate(after_last, 1)]
        if link.lag_days
        else [end + link.lag_sessions for end in range(1, count + 1)]
    )
    return tuple(min(count, start) for start in [link.lag_sessions, *lagged])


def _released_after(problem: Problem, link: Link, session: int) -> int:
    at = problem.sessions.after_elapsed(session, link.lag_days) if link.lag_days else session
    return at + link.lag_sessions


def released(problem: Problem, key: str) -> int:
    """The first session an activity may start in as far as finished or started work is concerned."""
    return max((_released_by(problem, link) for link in problem.links if link.after == key), default=0)


def _released_by(problem: Problem, link: Link) -> int:
    before = problem.activities()[link.before]
    if link.kind == LinkKind.INSIDE:
        return 0
    since = before.done_on
    if link.kind == LinkKind.START_START:
        since = getattr(before, "started_on", None) or before.done_on
    if since is None:
        return 0
    next_day = 0 if link.lag_days else 1 if link.lag_sessions else 0
    at = problem.sessions.first_on_or_after(since + timedelta(days=link.lag_days + next_day))
    return at + link.lag_sessions

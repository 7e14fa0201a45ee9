"""Links between activities as edges between the network's tasks, and what finished work has released."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

from jobs.core.planning.network import Edge
from jobs.core.planning.problem import Link, LinkKind, Problem

Table = tuple[int, ...]


def open_links(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> Iterable[Link]:
    """Links between activities that are both still to be done; what is kept in hand counts as lag."""
    links = (link for link in problem.links if link.before in tasks_of and link.after in tasks_of)
    return (replace(link, lag_sessions=link.lag_sessions + link.spare_sessions) for link in links)


def edges(problem: Problem, tasks_of: dict[str, tuple[int, ...]]) -> tuple[Edge, ...]:
    """Edges of all links, and those that keep the parts of one package in order."""
    within = [Edge(a, b) for tasks in tasks_of.values() for a, b in pairwise(tasks)]
    tables: dict[tuple, Table | None] = {}
    linked = []
    for link in open_links(problem, tasks_of):
        if _binds(problem, link):
            lag = link.kind, link.lag_days, link.lag_sessions
            if lag not in tables:
                tables[lag] = _table(problem, link)
            linked.append(_edge(link, tables[lag], tasks_of))
    return (*within, *linked)


def _binds(problem: Problem, link: Link) -> bool:
    """Whether a link still holds back: what waits for a start waits no longer once it has started."""
    before = problem.activities()[link.before]
    return link.kind == LinkKind.FINISH_START or getattr(before, "started_on", None) is None


def _edge(link: Link, table: Table | None, tasks_of: dict[str, tuple[int, ...]]) -> Edge:
    after = tasks_of[link.after][0]
    if link.kind == LinkKind.FINISH_START:
        return Edge(tasks_of[link.before][-1], after, table)
    return Edge(tasks_of[link.before][0], after, table, from_start=True)


def _table(problem: Problem, link: Link) -> Table | None:
    """None for a link without a lag, which is kept to the tick; what runs inside is kept to the session."""
    if link.kind != LinkKind.INSIDE and not link.lag_days and not link.lag_sessions:
        return None
    return _ends(problem, link) if link.kind == LinkKind.FINISH_START else _starts(problem, link)


def _starts(problem: Problem, link: Link) -> Table:
    """The first session allowed, by the first session of what it waits for."""
    count = len(problem.sessions)
    return tuple(min(count, at + link.lag_sessions) for at in _elapsed(problem, link.lag_days))


def _ends(problem: Problem, link: Link) -> Table:
    """The first session allowed, by the session past the last of what it waits for (0: it ended before the first)."""
    count, elapsed = len(problem.sessions), _elapsed(problem, link.lag_days)
    after_last = (max(end, elapsed[end - 1]) for end in range(1, count + 1))
    return tuple(min(count, at + link.lag_sessions) for at in (0, *after_last))


def _elapsed(problem: Problem, days: int) -> Table:
    """The first session once so many days have passed, by session."""
    if days == 0:
        return tuple(range(len(problem.sessions)))
    return tuple(problem.sessions.after_elapsed(session, days) for session in range(len(problem.sessions)))


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

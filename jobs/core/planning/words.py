"""How the planner writes sessions and lists in sentences."""

from collections.abc import Iterable

from jobs.core.planning.problem import Problem
from jobs.core.stages import Half


def when(problem: Problem, session: int) -> str:
    """ "Thu 14 Jan am"; past the calendar's end, says so."""
    if session >= len(problem.sessions):
        return f"after {problem.sessions.last_on:%a} {problem.sessions.last_on.day} {problem.sessions.last_on:%b}"
    return str(problem.sessions[max(0, session)])


def when_starts(problem: Problem, session: int) -> str:
    """The day alone for a morning start, else with its half."""
    if session < len(problem.sessions) and problem.sessions[session].half == Half.MORNING:
        return when(problem, session).removesuffix(" am")
    return when(problem, session)


def listed(words: Iterable[str]) -> str:
    """ "A", "A and B", "A, B and C"."""
    *most, last = list(words) or [""]
    return f"{', '.join(most)} and {last}" if most else last


def hours(number: float) -> str:
    """ "8 hours", "2.5 hours", "1 hour"."""
    return f"{number:g} hour{'' if number == 1 else 's'}"

"""A construction project's critical path.

Hillier and Lieberman, Introduction to Operations Research, the construction project of the chapter on project
management with PERT/CPM: durations in weeks, project length 44 weeks (values from memory of the textbook).
"""

from jobs.core.planning import explain, quick_plan
from jobs.core.planning.problem import Problem
from tests.core.planning.cast import after, problem, visit

WEEKS = {"A": 2, "B": 4, "C": 10, "D": 6, "E": 4, "F": 5, "G": 7, "H": 9, "I": 7, "J": 8, "K": 4, "L": 5, "M": 2, "N": 6}
FOLLOWS = {
    "B": "A",
    "C": "B",
    "D": "C",
    "E": "C",
    "F": "E",
    "G": "D",
    "H": "EG",
    "I": "C",
    "J": "FI",
    "K": "J",
    "L": "J",
    "M": "H",
    "N": "KL",
}
CRITICAL = ["A", "B", "C", "E", "F", "J", "L", "N"]


def project() -> Problem:
    """One session stands for a week; nothing needs people."""
    links = tuple(after(before, later) for later, befores in FOLLOWS.items() for before in befores)
    return problem(*(visit(key, weeks) for key, weeks in WEEKS.items()), links=links, people=())


def test_the_project_takes_44_weeks_when_people_are_no_limit() -> None:
    assert max(span.last + 1 for span in quick_plan(project()).spans.values()) == 44


def test_the_chain_of_reasons_is_the_critical_path_when_read_from_the_end() -> None:
    work = project()
    assert [key for key, _ in explain(work, quick_plan(work), "N")] == CRITICAL[::-1]

"""A small named cast: one house, two electricians, an apprentice, a young apprentice, a plasterer."""

from datetime import date

from jobs.core.planning.problem import Grade, Link, Mix, Package, Person, Problem, Visit
from jobs.core.stages import Stage
from jobs.core.workdays import Calendar, Sessions, sessions_between

MONDAY = date(2027, 1, 11)

ANN = Person("ann", "Ann", may_test=True)
BOB = Person("bob", "Bob")
CAL = Person("cal", "Cal", Grade.APPRENTICE, productivity=0.5, needs_supervision=True)
DEE = Person("dee", "Dee", Grade.APPRENTICE, productivity=0.5, is_under_18=True)
CREW = (ANN, BOB, CAL, DEE)


def sessions(first: date = MONDAY, last: date = date(2027, 4, 30), **calendar: object) -> Sessions:
    return sessions_between(Calendar(**calendar), first, last)


def package(key: str = "fix", hours: float = 8, **fields: object) -> Package:
    usual = {"job": "mill", "stage": Stage.FIRST_FIX, "area": "Upstairs", "title": key.title(), "mixes": (Mix(1),)}
    return Package(key=key, labour_hours=hours, **{**usual, **fields})


def visit(key: str = "plaster", length: int = 2, **fields: object) -> Visit:
    return Visit(key=key, length_sessions=length, **{"job": "mill", "trade": "plasterer", "title": key.title(), **fields})


def problem(*activities: Package | Visit, people: tuple[Person, ...] = CREW, **fields: object) -> Problem:
    usual = {"sessions": sessions(), "job_names": {"mill": "Mill Lane", "oak": "Oak Road"}}
    return Problem(
        people=people,
        packages=tuple(a for a in activities if isinstance(a, Package)),
        visits=tuple(a for a in activities if isinstance(a, Visit)),
        **{**usual, **fields},
    )


def after(before: str, later: str, **fields: object) -> Link:
    return Link(before, later, **fields)

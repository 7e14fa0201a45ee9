"""Made-up portfolios of rewires, the same for the same seed: for benches and for tests of any plan."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random

from jobs.core.planning.problem import (
    Arrival,
    Grade,
    Link,
    LinkKind,
    Mix,
    Package,
    Person,
    Problem,
    Promise,
    Visit,
)
from jobs.core.stages import Stage
from jobs.core.workdays import Calendar, Sessions, sessions_between

AREAS = ("Upstairs", "Downstairs", "Loft", "Outside")
MIXES = (Mix(1), Mix(1, 1), Mix(2), Mix(2, 1), Mix(2, 2))
SMALL_MIXES = (Mix(1), Mix(1, 1))
HOURS = {
    Stage.STRIP_OUT: (4.0, 14.0),
    Stage.FIRST_FIX: (16.0, 44.0),
    Stage.SECOND_FIX: (8.0, 26.0),
    Stage.TEST: (4.0, 12.0),
}
"""Least and most labour of a stage in one area (common practice, no source)."""


@dataclass(frozen=True)
class _House:
    """What one made-up job adds to a problem."""

    packages: tuple[Package, ...]
    visits: tuple[Visit, ...]
    links: tuple[Link, ...]


def portfolio(seed: int, jobs: int = 8, people: int = 6, starts_on: date = date(2027, 1, 4), days: int = 500) -> Problem:
    """A problem of so many jobs, none begun, with a crew of so many people."""
    random = Random(f"{seed}/{jobs}/{people}")
    sessions = sessions_between(Calendar(), starts_on, starts_on + timedelta(days=days))
    houses = [_house(random, f"job:{number}") for number in range(jobs)]
    return Problem(
        sessions=sessions,
        people=tuple(_person(random, number, people, sessions) for number in range(people)),
        packages=tuple(package for house in houses for package in house.packages),
        visits=tuple(_with_calendar(random, visit, sessions) for house in houses for visit in house.visits),
        links=tuple(link for house in houses for link in house.links),
        promises=tuple(_promises(random, jobs, sessions)),
        job_names={f"job:{number}": f"House {number + 1}" for number in range(jobs)},
    )


def _person(random: Random, number: int, people: int, sessions: Sessions) -> Person:
    electricians = max(1, (people + 1) // 2)
    away = _away(random, number, sessions)
    key, name = f"person:{number}", f"Person {number + 1}"
    if number < electricians:
        return Person(key, name, may_test=number % 2 == 0, away=away)
    grade = random.choice((Grade.IMPROVER, Grade.APPRENTICE, Grade.LABOURER))
    pace = random.choice((0.5, 0.7, 0.85))
    young = grade == Grade.APPRENTICE and random.random() < 0.3
    return Person(key, name, grade, pace, needs_supervision=grade != Grade.IMPROVER, is_under_18=young, away=away)


def _away(random: Random, number: int, sessions: Sessions) -> dict[int, str]:
    """A week's holiday within three months, and a day at college each week for some."""
    away = {}
    holiday = random.randrange(0, 120)
    away |= dict.fromkeys(range(holiday, min(holiday + 10, len(sessions))), "on holiday")
    if number and random.random() < 0.25:
        away |= {s: "at college" for s in range(len(sessions)) if sessions[s].on.weekday() == 2}
    return away


def _promises(random: Random, jobs: int, sessions: Sessions) -> list[Promise]:
    promises = []
    for number in range(jobs):
        if random.random() < 0.4:
            session = min(len(sessions) - 1, random.randrange(100, 180 + 10 * jobs))
            promises.append(Promise(f"job:{number}", session, sessions[session].on, "the customer"))
    return promises


def _with_calendar(random: Random, visit: Visit, sessions: Sessions) -> Visit:
    """Most trades work the firm's week; some are away a week or never work Fridays."""
    closed = set()
    if random.random() < 0.3:
        closed |= {s for s in range(len(sessions)) if sessions[s].on.weekday() == 4}
    if random.random() < 0.3:
        first = random.randrange(0, 100)
        closed |= set(range(first, first + 10))
    lead = random.choice((0, 0, 10, 20))
    return replace(visit, closed=frozenset(closed), not_before=lead)


def _house(random: Random, job: str) -> _House:
    areas = AREAS[: random.choice((2, 2, 3, 4))]
    packages = {(stage, area): _package(random, job, stage, area) for area in areas for stage in HOURS if stage != Stage.TEST}
    test = _package(random, job, Stage.TEST, "House", needs_tester=True, mixes=SMALL_MIXES)
    visits = _visits(random, job)
    links = _links(random, packages, test, visits)
    return _House((*packages.values(), test), tuple(visits.values()), tuple(links))


def _package(random: Random, job: str, stage: Stage, area: str, needs_tester: bool = False, mixes=MIXES) -> Package:
    least, most = HOURS[stage]
    hours = round(random.uniform(least, most) * (0.5 if area in ("Loft", "Outside") else 1.0), 2)
    arrivals = (Arrival(random.randrange(4, 30), "the cable"),) if stage == Stage.FIRST_FIX and random.random() < 0.2 else ()
    return Package(
        key=f"{job}/{stage}/{area}",
        job=job,
        stage=stage,
        area=area,
        title=f"{stage.label} {area.lower()}",
        labour_hours=hours,
        mixes=SMALL_MIXES if hours < 8 else mixes,
        needs_tester=needs_tester,
        arrivals=arrivals,
        helper_grade=Grade.APPRENTICE if stage == Stage.SECOND_FIX else Grade.LABOURER,
        keeps_clear=frozenset({area}) if stage == Stage.FIRST_FIX and random.random() < 0.3 else frozenset(),
    )


def _visits(random: Random, job: str) -> dict[str, Visit]:
    def visit(trade: str, title: str, sessions: int, covers_up: bool = False) -> Visit:
        return Visit(f"{job}/{trade}", job, trade, title, sessions, covers_up=covers_up)

    return {
        "isolator": visit("network_operator", "Isolator fitted", 1),
        "plumber": visit("plumber", "Plumber's first fix", random.choice((1, 2))),
        "plasterer": visit("plasterer", "Plasterer", random.choice((4, 6, 8)), covers_up=True),
        "kitchen": visit("kitchen_fitter", "Kitchen fitter", random.choice((4, 6))),
        "decorator": visit("decorator", "Mist coat", 2),
    }


def _links(random: Random, packages: dict, test: Package, visits: dict[str, Visit]) -> list[Link]:
    drying = random.choice((5, 7, 14))
    links = []
    for (stage, area), package in packages.items():
        if stage == Stage.STRIP_OUT:
            links.append(Link(package.key, packages[Stage.FIRST_FIX, area].key, reason="strip-out first"))
            links.append(Link(visits["isolator"].key, package.key, reason="the supply can be isolated"))
        elif stage == Stage.FIRST_FIX:
            links.append(Link(package.key, visits["plasterer"].key, reason="cables in before plaster"))
            links.append(Link(visits["decorator"].key, packages[Stage.SECOND_FIX, area].key, reason="mist coat first"))
        else:
            links.append(Link(package.key, test.key, reason="all points fitted"))
    first_fix = packages[Stage.FIRST_FIX, "Downstairs"].key
    return links + [
        Link(first_fix, visits["plumber"].key, LinkKind.INSIDE, reason="while the floors are open"),
        Link(visits["plasterer"].key, visits["decorator"].key, lag_days=drying, reason="plaster dries"),
        Link(visits["plasterer"].key, visits["kitchen"].key, lag_days=drying, reason="plaster dries"),
        Link(visits["kitchen"].key, packages[Stage.SECOND_FIX, "Downstairs"].key, reason="units before faceplates"),
    ]

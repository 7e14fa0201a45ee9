"""How fast, and how near the best known, the planner plans made-up rewires, and how it takes what upsets a week."""

import json
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from statistics import median
from time import monotonic

from jobs.core.planning import improve_plan, quick_plan
from jobs.core.planning.plan import Plan, Progress
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Problem
from jobs.management.bench import BenchError
from jobs.management.bench.disruptions import DISRUPTIONS, told, without_job

HELP = "made-up rewire portfolios: first plan, improvement, disruptions"
CREW = {2: 3, 4: 5, 8: 7, 16: 10}
"""People by number of jobs."""

MOMENTS = (1.0, 5.0, 10.0)
"""Seconds at which the objective is looked at."""

Terms = tuple[int, ...]


@dataclass
class Trace:
    """The objective of one run as it came down: (seconds since it began, terms)."""

    began_at: float = field(default_factory=monotonic)
    heard: list[tuple[float, Terms]] = field(default_factory=list)

    def hear(self, progress: Progress) -> None:
        self.heard.append((monotonic() - self.began_at, progress.objective.terms()))

    def at(self, seconds: float) -> Terms | None:
        return min((terms for moment, terms in self.heard if moment <= seconds), default=None)


@dataclass(frozen=True)
class Replan:
    """One disruption planned anew: seconds to a usable plan; told dates moved by then, after improving, and at least."""

    seconds: float
    moved_at_once: int
    moved: int
    least_moved: int


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--jobs", type=int, nargs="+", default=list(CREW), choices=CREW, help="portfolio sizes")
    parser.add_argument("--seconds", type=float, default=120.0, help="the long run that gives the best known")
    parser.add_argument("--improve", type=float, default=3.0, metavar="SECONDS", help="after each disruption")
    parser.add_argument("--repeats", type=int, default=3, help="portfolios of each size for the disruptions")
    parser.add_argument("--best", type=Path, metavar="FILE", help="output of an earlier run: its best known saves the long runs")


def run(
    tell: Callable[[str], None],
    *,
    jobs: list[int],
    seconds: float,
    improve: float,
    repeats: int,
    best: Path | None,
    **options: object,
) -> None:
    """Two tables, then everything as one line of JSON; takes about `seconds` for each size, and what the disruptions take."""
    known = _known_best(best)
    quick_plan(portfolio(1, 2, 3))
    tell(f"{'jobs':>4} {'crew':>4} {'tasks':>5} {'first plan':>10}  " + "  ".join(f"{f'at {m:g} s':>16}" for m in MOMENTS))
    sizes = {}
    for count in jobs:
        sizes[str(count)] = size = _size(count, seconds, known.get(str(count)))
        tell(_size_line(count, size))
    tell(_growth(sizes))
    tell(f"\n{'after':16} {'jobs':>4} {'median':>8} {'p95':>8}  told dates moved: at once, improved, at least")
    replans = {}
    for count in jobs:
        for name, found in _replans(count, repeats, improve).items():
            replans[f"{name}, {count} jobs"] = row = _replan_row(found)
            tell(_replan_line(name, count, row))
    tell(json.dumps({"sizes": sizes, "replans": replans}))


def _known_best(file: Path | None) -> dict[str, Terms]:
    if file is None:
        return {}
    try:
        sizes = json.loads(file.read_text().splitlines()[-1])["sizes"]
        return {count: tuple(size["best"]) for count, size in sizes.items()}
    except (OSError, ValueError, LookupError, TypeError) as error:
        raise BenchError(f"{file} is no output of this bench. Give a file an earlier run was written to.") from error


def _size(count: int, seconds: float, known: Terms | None) -> dict:
    problem = portfolio(1, count, CREW[count])
    began_at = monotonic()
    first = quick_plan(problem)
    first_seconds, trace = monotonic() - began_at, Trace()
    end = improve_plan(problem, seconds=max(MOMENTS), on_progress=trace.hear).objective.terms()
    long = known or improve_plan(problem, seconds=seconds).objective.terms()
    best = min(long, end)
    return {
        "tasks": len(problem.packages) + len(problem.visits),
        "first_seconds": round(first_seconds, 3),
        "first": first.objective.terms(),
        "at": {f"{moment:g}": trace.at(moment) for moment in MOMENTS},
        "best": best,
    }


def above(terms: Terms | None, best: Terms) -> str:
    """How far an objective is from the best: flow in percent, or what is wrong that comes before flow."""
    if terms is None:
        return "none yet"
    for name, one, other in zip(("late", "told", "week"), terms, best, strict=False):
        if one != other:
            return f"{one - other:+d} {name}"
    return f"{100 * (terms[-1] - best[-1]) / max(1, best[-1]):+.2f} %"


def _size_line(count: int, size: dict) -> str:
    gaps = "  ".join(f"{above(terms, size['best']):>16}" for terms in size["at"].values())
    return f"{count:4} {CREW[count]:4} {size['tasks']:5} {size['first_seconds']:8.2f} s  {gaps}"


def _growth(sizes: dict) -> str:
    """How the time to the first plan grows from each size to the next."""
    steps = [
        f"{after} jobs take {sizes[after]['first_seconds'] / max(0.001, sizes[before]['first_seconds']):.1f} times {before}"
        for before, after in zip(sizes, list(sizes)[1:], strict=False)
    ]
    return "growth of the first plan: " + ("; ".join(steps) or "one size alone shows none")


def _replans(count: int, repeats: int, improve: float) -> dict[str, list[Replan]]:
    found: dict[str, list[Replan]] = {}
    for seed in range(2, 2 + repeats):
        for name, upset, before in _upsets(portfolio(seed, count, CREW[count]), improve):
            found.setdefault(name, []).append(_replan(upset, before, improve))
    return found


def _upsets(problem: Problem, improve: float) -> Iterator[tuple[str, Problem, Plan]]:
    """Each disruption with the problem it leaves and the plan people held until then."""
    plan = improve_plan(problem, seconds=improve)
    issued = told(problem, plan)
    yield "nothing", issued, plan
    for name, upset in DISRUPTIONS.items():
        yield name, upset(issued, plan), plan
    yield "new job", *_new_job(problem, improve)


def _new_job(problem: Problem, improve: float) -> tuple[Problem, Plan]:
    """The last job comes in once the others are told."""
    without = without_job(problem, problem.packages[-1].job)
    plan = improve_plan(without, seconds=improve)
    issued = told(without, plan)
    return replace(problem, told=issued.told, bookings=issued.bookings), plan


def _replan(problem: Problem, before: Plan, improve: float) -> Replan:
    began_at = monotonic()
    at_once = quick_plan(problem, before=before)
    took = monotonic() - began_at
    improved = improve_plan(problem, seed=at_once, before=before, seconds=improve)
    return Replan(took, at_once.objective.told_moved, improved.objective.told_moved, improved.bound.told_moved)


def _replan_row(found: list[Replan]) -> dict[str, float]:
    seconds = sorted(one.seconds for one in found)
    return {
        "median_seconds": round(median(seconds), 3),
        "p95_seconds": round(seconds[min(len(seconds) - 1, int(0.95 * len(seconds)))], 3),
        "moved_at_once": sum(one.moved_at_once for one in found),
        "moved": sum(one.moved for one in found),
        "least_moved": sum(one.least_moved for one in found),
    }


def _replan_line(name: str, count: int, row: dict[str, float]) -> str:
    moved = f"{row['moved_at_once']:9} {row['moved']:9} {row['least_moved']:9}"
    return f"{name:16} {count:4} {row['median_seconds']:6.2f} s {row['p95_seconds']:6.2f} s  {moved}"

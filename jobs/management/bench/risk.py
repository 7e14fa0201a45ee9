"""Draws of a plan's risk a second, beside a plain Python loop that lives through the same plan."""

import json
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from math import ceil
from random import Random
from time import perf_counter

from jobs.core.planning import quick_plan, risk
from jobs.core.planning.course import Course, course
from jobs.core.planning.plan import Plan
from jobs.core.planning.portfolios import portfolio
from jobs.core.planning.problem import Problem
from jobs.core.planning.spreads import Spreads

HELP = "draws a second, beside a plain Python loop"
PORTFOLIOS = ((2, 4), (4, 5), (8, 6), (16, 10))
"""Jobs, people."""


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--draws", type=int, default=risk.DRAWS, help="of the vectorised way")
    parser.add_argument("--plain-draws", type=int, default=400, help="of the plain loop")
    parser.add_argument("--repeat", type=int, default=5, help="the vectorised way, the best of so many")


def run(tell: Callable[[str], None], *, draws: int, plain_draws: int, repeat: int, **options: object) -> None:
    """A line for each portfolio, then everything as one line of JSON."""
    tell(f"{'jobs':>4} {'people':>6} {'activities':>10} {'plain loop':>14} {'rewire':>14} {'ratio':>7} {'P80 apart':>10}")
    rows = [_measured(jobs, people, draws, plain_draws, repeat) for jobs, people in PORTFOLIOS]
    for row in rows:
        tell(
            f"{row['jobs']:>4} {row['people']:>6} {row['activities']:>10} {row['plain_draws_per_second']:>12,.0f}/s "
            f"{row['draws_per_second']:>12,.0f}/s {row['ratio']:>6.0f}x {row['sessions_apart']:>10.2f}"
        )
    tell("P80 apart: mean difference of the two ways' safe end of an activity, in half days")
    tell(json.dumps({"risk": rows}))


def _measured(jobs: int, people: int, draws: int, plain_draws: int, repeat: int) -> dict[str, float]:
    """Both ways on the same plan; the vectorised time includes reading the plan and the ranges that come out."""
    problem = portfolio(1, jobs, people)
    plan = quick_plan(problem)
    began = perf_counter()
    plain = plain_safe_ends(problem, plan, plain_draws)
    plain_speed = plain_draws / (perf_counter() - began)
    times = []
    for _ in range(repeat):
        began = perf_counter()
        found = risk.measure(problem, plan, Spreads(), draws=draws)
        times.append(perf_counter() - began)
    speed = draws / min(times)
    apart = [abs(found.ranges[key].safe_last - safe) for key, safe in plain.items()]
    return {
        "jobs": jobs, "people": people, "activities": len(plan.spans), "plain_draws_per_second": round(plain_speed, 1),
        "draws_per_second": round(speed, 1), "ratio": round(speed / plain_speed, 1),
        "sessions_apart": round(sum(apart) / len(apart), 3),
    }


def plain_safe_ends(problem: Problem, plan: Plan, draws: int) -> dict[str, int]:
    """P80 of each activity's last session by a loop over draws."""
    random, the_course = Random(1), course(problem, plan)
    lives = [dict(_life(problem, the_course, random)) for _ in range(draws)]
    return {key: sorted(life[key] for life in lives)[ceil(risk.SAFE * draws) - 1] for key in the_course.stretches_of}


def _life(problem: Problem, the_course: Course, random: Random) -> Iterator[tuple[str, int]]:
    """The last session of each activity in one draw."""
    spreads, activities = Spreads(), problem.activities()
    factors = {key: random.lognormvariate(0.0, spreads.of(activities[key])) for key in the_course.stretches_of}
    starts, ends, freed = {}, {}, {}
    handing_on = {before for some in the_course.handovers for before in some}
    for index in the_course.order:
        stretch = the_course.stretches[index]
        factor = factors[stretch.activity]
        work = max(round(stretch.work * (max(1.0, factor) if stretch.is_visit else factor)), min(1, stretch.work))
        ready = [the_course.ready(edge, starts[edge.before], ends[edge.before]) for edge in the_course.waits[index]]
        people = max((freed[before] for before in the_course.handovers[index]), default=0)
        starts[index] = the_course.begin(index, max([stretch.earliest, stretch.floor, people, *ready]))
        ends[index] = the_course.finish(index, starts[index], work)
        if index in handing_on:
            freed[index] = the_course.finish(index, the_course.begin(index, max(people, stretch.slot)), work)
    for key, some in the_course.stretches_of.items():
        yield key, the_course.last_session(starts[some[-1]], ends[some[-1]])

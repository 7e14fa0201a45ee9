"""What upsets a week: from a problem and the plan people were told, the same problem after something happened."""

from collections.abc import Callable
from dataclasses import replace

from jobs.core.planning.plan import Plan
from jobs.core.planning.problem import Arrival, Package, Problem, Told, Visit
from jobs.core.stages import Stage

AWAY_SESSIONS = 6
LATE_SESSIONS = 6
SLOWER = 1.5
"""A sick call takes three days, a delivery comes three days late, a slow first fix takes half as long again."""


def told(problem: Problem, plan: Plan) -> Problem:
    """Every visit's date told, the coming week booked, as when the plan was issued."""
    starts = tuple(Told(visit.key, plan.spans[visit.key].first, visit.trade) for visit in problem.visits)
    return replace(problem, told=starts, bookings=plan.bookings)


def sick_call(problem: Problem, plan: Plan) -> Problem:
    """Whoever has most booked in the first days is away for them."""
    hours: dict[str, float] = {}
    for booking in plan.bookings:
        if booking.session < AWAY_SESSIONS:
            hours[booking.person] = hours.get(booking.person, 0) + booking.hours
    sick = max(hours, key=hours.get, default=problem.people[0].key)
    away = dict.fromkeys(range(AWAY_SESSIONS), "off sick")
    people = tuple(replace(one, away={**one.away, **away}) if one.key == sick else one for one in problem.people)
    return replace(problem, people=people)


def declined_visit(problem: Problem, plan: Plan) -> Problem:
    """The first trade to come cannot come then."""
    visit = _first(problem.visits, plan)
    start = plan.spans[visit.key].first
    return _with(problem, replace(visit, declined=visit.declined | {start}))


def late_delivery(problem: Problem, plan: Plan) -> Problem:
    """What the first first fix needs comes after it was to begin."""
    package = _first_fix(problem, plan)
    arrival = Arrival(plan.spans[package.key].first + LATE_SESSIONS, "the cable")
    return _with(problem, replace(package, arrivals=(*package.arrivals, arrival)))


def slow_first_fix(problem: Problem, plan: Plan) -> Problem:
    """Ticks show that the first first fix needs more hours than were planned."""
    package = _first_fix(problem, plan)
    return _with(problem, replace(package, labour_hours=package.labour_hours * SLOWER))


def _first_fix(problem: Problem, plan: Plan) -> Package:
    return _first([package for package in problem.packages if package.stage == Stage.FIRST_FIX], plan)


def _first(activities, plan: Plan):
    return min(activities, key=lambda activity: (plan.spans[activity.key].first, activity.key))


def _with(problem: Problem, changed: Package | Visit) -> Problem:
    return replace(
        problem,
        packages=tuple(changed if one.key == changed.key else one for one in problem.packages),
        visits=tuple(changed if one.key == changed.key else one for one in problem.visits),
    )


def without_job(problem: Problem, job: str) -> Problem:
    """The problem before a job came in."""
    packages = tuple(package for package in problem.packages if package.job != job)
    visits = tuple(visit for visit in problem.visits if visit.job != job)
    known = {activity.key for activity in (*packages, *visits)}
    return replace(
        problem,
        packages=packages,
        visits=visits,
        links=tuple(link for link in problem.links if link.before in known and link.after in known),
        promises=tuple(promise for promise in problem.promises if promise.job != job),
    )


DISRUPTIONS: dict[str, Callable[[Problem, Plan], Problem]] = {
    "sick call": sick_call,
    "declined visit": declined_visit,
    "late delivery": late_delivery,
    "slow first fix": slow_first_fix,
}
"""Those that change what is there; a new job is the fifth."""

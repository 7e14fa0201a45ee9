"""When people can work: hours by person and session, after absences, short days and hour limits."""

from collections import defaultdict
from collections.abc import Mapping

from jobs.core.planning.problem import UNDER_18_DAY_HOURS, Person, Problem
from jobs.core.stages import Half


def day_limit(person: Person, is_young: bool) -> float:
    """Planned hours a person may work in a day; infinite when nothing limits them. `is_young`: under 18 that day."""
    limits = [person.daily_hours_limit, UNDER_18_DAY_HOURS if is_young else None]
    return min((limit for limit in limits if limit is not None), default=float("inf"))


def week_limit(person: Person, is_young: bool) -> float:
    """Planned hours a person may work from Monday to Sunday; with `is_young`, to the end of a day they are under 18."""
    limits = [person.weekly_hours_limit, person.most_young_weekly_hours if is_young else None]
    return min((limit for limit in limits if limit is not None), default=float("inf"))


WORTH_BOOKING = 0.75
"""Where a limit leaves less than this share of a session, the person is not booked in it."""


def session_hours(problem: Problem, person: Person) -> Mapping[int, float]:
    """Hours a person can be booked in each session; sessions they cannot work are left out.

    Limited hours are used from the start of the day and of the week on.
    """
    usual = _usual_hours(problem, person)
    unlimited = day_limit(person, person.is_under_18) == week_limit(person, person.is_under_18) == float("inf")
    return usual if unlimited else _within_limits(problem, person, usual)


def _usual_hours(problem: Problem, person: Person) -> dict[int, float]:
    own = {Half.MORNING: person.morning_hours, Half.AFTERNOON: person.afternoon_hours}
    most = {half: float("inf") if hours is None else hours for half, hours in own.items()}
    firm, sessions = problem.sessions.hours, problem.sessions.sessions
    present = (s for s in range(problem.first_session, len(sessions)) if s not in person.away)
    return {s: hours for s in present if (hours := min(firm[s], most[sessions[s].half])) > 0}


def _within_limits(problem: Problem, person: Person, usual: Mapping[int, float]) -> dict[int, float]:
    hours: dict[int, float] = {}
    used_of_day: dict[object, float] = defaultdict(float)
    used_of_week: dict[object, float] = defaultdict(float)
    for number, wanted in usual.items():
        on = problem.sessions[number].on
        week = on.isocalendar()[:2]
        is_young = person.is_young_in(number)
        left = min(day_limit(person, is_young) - used_of_day[on], week_limit(person, is_young) - used_of_week[week])
        if left >= WORTH_BOOKING * wanted:
            hours[number] = min(wanted, left)
            used_of_day[on] += hours[number]
            used_of_week[week] += hours[number]
    return hours


def pace(problem: Problem, person: Person, hours: Mapping[int, float]) -> float:
    """Work a person surely does in an hour of any session they attend: productivity, less what short sessions take."""
    shares = {round(hours[number] / problem.sessions.hours[number], 6) for number in hours}
    return person.productivity * min(shares, default=0.0)

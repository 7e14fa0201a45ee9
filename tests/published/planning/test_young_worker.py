"""Young workers: 8 hours a day, 40 hours a week, no averaging (Working Time Regulations 1998, regulation 5A;
gov.uk, maximum weekly working hours)."""

from dataclasses import replace
from datetime import date, time

from jobs.core.planning import quick_plan
from jobs.core.planning.plan import Plan, Span, Status
from jobs.core.planning.problem import Booking, Mix, Person, Problem
from jobs.core.planning.rules import broken_rules
from jobs.core.workdays import Sessions
from tests.core.planning.cast import ANN, DEE, package, problem, sessions

SATURDAY = {date(2027, 1, 16): "catching up"}


def work(weeks: Sessions, hours: float, young: Person = DEE) -> Problem:
    return problem(package(hours=hours, mixes=(Mix(1, 1),)), people=(ANN, young), sessions=weeks)


def limits_broken(weeks: Sessions, count: int, young: Person = DEE) -> bool:
    """Whether a week in which both work every hour of the first `count` sessions breaks a limit."""
    both = tuple(Booking(s, person, "fix", weeks.hours[s]) for person in ("ann", "dee") for s in range(count))
    plan = Plan(Status.FEASIBLE, {"fix": Span("fix", 0, count - 1, 0, count)}, both)
    return "day_and_week_limits_hold" in {broken.rule for broken in broken_rules(work(weeks, 1, young), plan)}


def test_a_day_is_refused_when_it_has_eight_and_a_half_hours() -> None:
    assert limits_broken(sessions(morning=(time(7, 30), time(12))), 2)


def test_a_week_is_accepted_when_it_has_five_days_of_eight_hours() -> None:
    assert not limits_broken(sessions(), 10)


def test_a_sixth_day_is_refused_when_five_were_full() -> None:
    assert limits_broken(sessions(opened=SATURDAY), 12)


def test_a_sixth_day_is_accepted_when_the_eighteenth_birthday_came_before_it() -> None:
    weeks = sessions(opened=SATURDAY)
    assert not limits_broken(weeks, 12, replace(DEE, adult_from=10))


def test_the_planner_keeps_the_limits_when_the_firm_works_longer() -> None:
    long_days = sessions(morning=(time(7, 30), time(12)), opened=SATURDAY)
    assert quick_plan(work(long_days, 90)).broken == ()


def test_the_planner_books_longer_days_from_the_eighteenth_birthday_on() -> None:
    long_days = sessions(morning=(time(7, 30), time(12)))
    plan = quick_plan(work(long_days, 90, replace(DEE, adult_from=4)))
    hours = {s: sum(b.hours for b in plan.bookings if b.person == "dee" and b.session in (s, s + 1)) for s in (0, 2, 4, 6)}
    assert (hours, plan.broken) == ({0: 8, 2: 8, 4: 8.5, 6: 8.5}, ())

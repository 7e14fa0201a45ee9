"""What must hold of any plan, whoever made it: one function per rule, each independent of how plans are made.

A rule takes a `Reading` of a problem and a plan and yields what is broken, in words.
"""

from collections.abc import Callable, Iterator

from jobs.core.planning import date_rules, people_rules
from jobs.core.planning.plan import Broken, Plan
from jobs.core.planning.problem import Problem
from jobs.core.planning.reading import Reading

Rule = Callable[[Reading], Iterator[Broken]]

RULES: tuple[Rule, ...] = (
    date_rules.everything_is_planned,
    date_rules.nothing_new_starts_in_the_past,
    date_rules.work_follows_what_it_waits_for,
    date_rules.inside_work_stays_inside,
    date_rules.accepted_visits_stay,
    date_rules.trades_come_when_they_work,
    date_rules.visits_last_as_long_as_agreed,
    date_rules.nothing_starts_before_its_date,
    date_rules.deliveries_have_arrived,
    date_rules.pins_are_kept,
    date_rules.open_boards_are_kept_clear,
    date_rules.work_that_must_close_closes_the_same_day,
    people_rules.bookings_lie_within_their_work,
    people_rules.nobody_is_booked_while_away,
    people_rules.nobody_is_on_two_sites_at_once,
    people_rules.nobody_works_longer_than_their_session,
    people_rules.day_and_week_limits_hold,
    people_rules.excluded_people_stay_off,
    people_rules.young_workers_are_never_alone,
    people_rules.young_workers_never_test,
    people_rules.helpers_are_supervised,
    people_rules.tests_have_a_tester,
    people_rules.crews_are_accepted,
    people_rules.nobody_goes_alongside_where_they_may_not,
    people_rules.labour_is_covered,
)


def broken_rules(problem: Problem, plan: Plan) -> list[Broken]:
    """Everything a plan breaks; empty when it keeps every rule."""
    reading = Reading(problem, plan)
    return [broken for rule in RULES for broken in rule(reading)]

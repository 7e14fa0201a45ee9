"""Each rule about dates, broken by hand in a plan that no solver made."""

from datetime import date

import pytest

from jobs.core.planning.plan import Plan, Span, Status
from jobs.core.planning.problem import Arrival, Booking, LinkKind, Pin, Problem
from jobs.core.planning.rules import broken_rules
from tests.core.planning.cast import after, package, problem, visit


def spans(**at: tuple[int, int]) -> dict[str, Span]:
    """Whole sessions from the first to the last, by key."""
    return {key: Span(key, first, last, first, last + 1.0) for key, (first, last) in at.items()}


def broken(work: Problem, **at: tuple[int, int]) -> set[str]:
    """Names of the date rules broken; staffing is not looked at."""
    about_people = {"labour_is_covered"}
    return {one.rule for one in broken_rules(work, Plan(Status.FEASIBLE, spans(**at)))} - about_people


def test_work_is_missed_when_it_has_no_place() -> None:
    assert broken(problem(package())) == {"everything_is_planned"}


def test_the_past_is_refused_when_new_work_starts_there() -> None:
    assert broken(problem(package(), first_session=4), fix=(2, 3)) == {"nothing_new_starts_in_the_past"}


def test_order_is_broken_when_work_starts_before_what_it_waits_for_ends() -> None:
    work = problem(package(), visit(), links=(after("fix", "plaster"),))
    assert broken(work, fix=(0, 1), plaster=(1, 2)) == {"work_follows_what_it_waits_for"}


def test_order_is_kept_when_work_carries_on_within_a_session() -> None:
    work = problem(package(), package("garage"), links=(after("fix", "garage"),))
    at = {"fix": Span("fix", 0, 1, 0, 1.5), "garage": Span("garage", 1, 2, 1.5, 2.5)}
    rules = {one.rule for one in broken_rules(work, Plan(Status.FEASIBLE, at))}
    assert "work_follows_what_it_waits_for" not in rules


@pytest.mark.parametrize(("start", "is_kept"), [(9, False), (10, True)])
def test_drying_counts_the_weekend_when_days_elapse(start: int, is_kept: bool) -> None:
    work = problem(visit(), package(), links=(after("plaster", "fix", lag_days=7, reason="plaster dries"),))
    assert (broken(work, plaster=(0, 1), fix=(start, start + 1)) == set()) is is_kept


def test_a_lag_in_sessions_is_kept_when_it_is_asked_for() -> None:
    work = problem(visit(), package(), links=(after("plaster", "fix", lag_sessions=2),))
    assert broken(work, plaster=(0, 1), fix=(3, 4)) == {"work_follows_what_it_waits_for"}


def test_a_start_waits_for_a_start_when_they_are_linked_so() -> None:
    work = problem(visit(), package(), links=(after("fix", "plaster", kind=LinkKind.START_START),))
    assert broken(work, fix=(2, 3), plaster=(1, 2)) == {"work_follows_what_it_waits_for"}


def test_drying_is_too_short_when_the_plasterer_has_only_just_left() -> None:
    work = problem(visit(done_on=date(2027, 1, 8)), package(), links=(after("plaster", "fix", lag_days=14),))
    assert broken(work, fix=(0, 1)) == {"work_follows_what_it_waits_for"}


def test_inside_work_is_out_when_it_outlasts_its_host() -> None:
    work = problem(package(), visit(), links=(after("fix", "plaster", kind=LinkKind.INSIDE),))
    assert broken(work, fix=(0, 1), plaster=(1, 2)) == {"inside_work_stays_inside"}


def test_an_agreed_date_is_broken_when_the_visit_moves() -> None:
    assert broken(problem(visit(accepted=4)), plaster=(6, 7)) == {"accepted_visits_stay"}


@pytest.mark.parametrize("sessions", ["closed", "declined"])
def test_a_trade_is_not_there_when_it_rests_or_has_said_no(sessions: str) -> None:
    work = problem(visit(length=1, **{sessions: frozenset({3})}))
    assert broken(work, plaster=(3, 3)) == {"trades_come_when_they_work"}


def test_a_visit_is_too_short_when_it_is_cut() -> None:
    assert broken(problem(visit(length=3)), plaster=(0, 1)) == {"visits_last_as_long_as_agreed"}


def test_a_date_is_too_early_when_it_is_before_the_allowed_one() -> None:
    assert broken(problem(package(not_before=4)), fix=(3, 4)) == {"nothing_starts_before_its_date"}


def test_goods_are_missing_when_work_starts_before_the_delivery() -> None:
    late = package(arrivals=(Arrival(6, "the cable"),))
    assert broken(problem(late), fix=(4, 5)) == {"deliveries_have_arrived"}


def test_a_pin_is_broken_when_the_work_is_elsewhere() -> None:
    assert broken(problem(package(), pins=(Pin("p", "fix", 5),)), fix=(4, 5)) == {"pins_are_kept"}


def test_a_person_pin_is_broken_when_they_are_not_booked() -> None:
    assert broken(problem(package(), pins=(Pin("p", "fix", 5, "ann"),)), fix=(4, 5)) == {"pins_are_kept"}


def test_open_boards_are_in_use_when_others_work_beneath() -> None:
    work = problem(package(keeps_clear=frozenset({"Hall"})), package("hall", area="Hall"))
    booked = tuple(Booking(1, person, key, 4.0) for person, key in (("ann", "fix"), ("bob", "hall")))
    rules = {one.rule for one in broken_rules(work, Plan(Status.FEASIBLE, spans(fix=(0, 1), hall=(1, 2)), booked))}
    assert "open_boards_are_kept_clear" in rules


def test_a_long_visit_may_outlast_a_short_host_when_it_starts_while_floors_are_open() -> None:
    work = problem(package(hours=4), visit(length=3), links=(after("fix", "plaster", kind=LinkKind.INSIDE),))
    assert broken(work, fix=(1, 1), plaster=(1, 3)) == set()
    assert broken(work, fix=(1, 1), plaster=(2, 4)) == {"inside_work_stays_inside"}


def test_the_house_stays_dark_when_work_runs_over_night() -> None:
    assert broken(problem(package(must_close_same_day=True)), fix=(1, 2)) == {"work_that_must_close_closes_the_same_day"}

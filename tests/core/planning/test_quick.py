from dataclasses import replace
from datetime import date, time

from jobs.core.planning import check_plan, quick_plan
from jobs.core.planning.plan import Status
from jobs.core.planning.problem import Arrival, LinkKind, Mix, Pin, Promise, Told
from jobs.core.stages import Half
from tests.core.planning.cast import ANN, BOB, CAL, DEE, after, package, problem, sessions, visit


def test_hours_become_sessions_when_one_electrician_works() -> None:
    span = quick_plan(problem(package(hours=10), people=(ANN,))).spans["fix"]
    assert (span.first, span.last, span.ends_at) == (0, 2, 2.5)


def test_a_helper_shortens_the_work_when_the_mix_allows_one() -> None:
    plan = quick_plan(problem(package(hours=12, mixes=(Mix(1, 1),)), people=(ANN, CAL)))
    assert plan.spans["fix"].ends_at == 2.0


def test_a_small_return_visit_shares_the_session_when_the_crew_is_there_already() -> None:
    plan = quick_plan(problem(package(hours=6), package("garage", hours=2, area="Garage"), people=(ANN,)))
    assert max(span.last for span in plan.spans.values()) == 1
    assert sum(booking.hours for booking in plan.bookings) == 8.0


def test_another_house_waits_for_the_next_session_when_a_session_is_half_used() -> None:
    plan = quick_plan(problem(package(hours=2), package("oak", hours=2, job="oak"), people=(ANN,)))
    assert sorted(span.first for span in plan.spans.values()) == [0, 1]


def test_work_starts_next_day_when_it_waits_for_whole_days() -> None:
    plan = quick_plan(problem(package(hours=4), visit(), links=(after("fix", "plaster", lag_days=1),)))
    assert plan.spans["plaster"].first == 2


def test_plaster_dries_over_the_weekend_when_days_elapse() -> None:
    plan = quick_plan(problem(visit(length=10), package(), links=(after("plaster", "fix", lag_days=5),)))
    assert problem().sessions[plan.spans["fix"].first].on == date(2027, 1, 20)


def test_a_visit_falls_inside_when_floors_are_open() -> None:
    work = problem(package(hours=16), visit("plumber", not_before=5), links=(after("fix", "plumber", kind=LinkKind.INSIDE),))
    assert quick_plan(work).broken == ()


def test_a_long_package_pauses_when_its_only_electrician_is_away_each_week() -> None:
    fridays = {s: "away" for s in range(len(sessions())) if sessions()[s].on.weekday() == 4}
    plan = quick_plan(problem(package(hours=64), people=(replace(ANN, away=fridays),)))
    assert plan.broken == ()
    assert not {booking.session for booking in plan.bookings} & set(fridays)


def test_work_closes_the_same_day_when_it_must() -> None:
    plan = quick_plan(problem(package("one", 4), package("two", 8, must_close_same_day=True), people=(ANN,)))
    assert plan.spans["two"].first % 2 == 0


def test_goods_are_waited_for_when_a_delivery_is_late() -> None:
    plan = quick_plan(problem(package(arrivals=(Arrival(6, "the cable"),))))
    assert plan.spans["fix"].first == 6


def test_two_rooms_keep_clear_when_boards_are_open() -> None:
    plan = quick_plan(problem(package(keeps_clear=frozenset({"Hall"})), package("hall", area="Hall")))
    one, other = plan.spans["fix"], plan.spans["hall"]
    assert one.last < other.first or other.last < one.first


def test_a_pin_holds_when_work_could_start_sooner() -> None:
    plan = quick_plan(problem(package(), pins=(Pin("pin", "fix", 7),)))
    assert plan.spans["fix"].first == 7


def test_a_person_is_where_they_were_put_when_others_could_go() -> None:
    plan = quick_plan(problem(package(), package("oak", job="oak"), pins=(Pin("pin", "oak", 1, "bob"),)))
    assert ("bob", "oak") in {(booking.person, booking.package) for booking in plan.bookings if booking.session == 1}


def test_an_impossible_pin_is_kept_and_its_damage_told_when_it_breaks_a_rule() -> None:
    plan = quick_plan(problem(package(), visit(accepted=1), links=(after("fix", "plaster"),), people=(ANN,)))
    assert plan.status == Status.INFEASIBLE
    assert plan.spans["plaster"].first == 1
    assert [broken.rule for broken in plan.broken] == ["work_follows_what_it_waits_for"]


def test_told_dates_stay_when_nothing_speaks_against_them() -> None:
    plan = quick_plan(problem(package(), visit(), links=(after("fix", "plaster"),), told=(Told("plaster", 9),)))
    assert plan.spans["plaster"].first == 9
    assert plan.objective.told_moved == 0


def test_the_urgent_house_goes_first_when_a_finish_is_promised() -> None:
    both = (package(hours=16), package("oak", hours=16, job="oak"))
    plan = quick_plan(problem(*both, people=(ANN,), promises=(Promise("oak", 3, date(2027, 1, 12)),)))
    assert plan.objective.late_sessions == 0


def test_started_work_holds_nothing_back_when_something_waits_for_its_start() -> None:
    begun = package(started_on=date(2027, 1, 8), not_before=4)
    plan = quick_plan(problem(begun, visit(), links=(after("fix", "plaster", kind=LinkKind.START_START),)))
    assert plan.spans["plaster"].first == 0


def test_drying_goes_on_when_the_plasterer_has_left() -> None:
    done = visit(done_on=date(2027, 1, 8))
    plan = quick_plan(problem(done, package(), links=(after("plaster", "fix", lag_days=7),)))
    assert plan.spans["fix"].first == sessions().index(date(2027, 1, 15))


def test_testing_is_done_by_a_tester_when_others_are_free() -> None:
    plan = quick_plan(problem(package(needs_tester=True, mixes=(Mix(1, 1),)), people=(BOB, ANN, CAL, DEE)))
    assert {booking.person for booking in plan.bookings} <= {"ann", "bob", "cal"}
    assert plan.broken == ()


def test_a_trade_that_rests_pauses_when_its_visit_spans_the_rest() -> None:
    span = quick_plan(problem(visit(length=4, closed=frozenset({2, 3})))).spans["plaster"]
    assert (span.first, span.last) == (0, 5)


def test_people_keep_their_bookings_when_the_plan_is_made_again() -> None:
    work = problem(package(hours=24), package("oak", hours=24, job="oak"), people=(ANN, BOB))
    first = quick_plan(work)
    again = quick_plan(replace(work, people=(BOB, ANN), bookings=first.bookings))
    assert again.bookings == first.bookings


def test_uneven_halves_are_worked_to_the_hour_when_mornings_are_longer() -> None:
    uneven = sessions(morning=(time(7, 30), time(12, 30)), afternoon=(time(13), time(16)))
    plan = quick_plan(problem(package(hours=8), sessions=uneven, people=(ANN,)))
    assert [booking.hours for booking in plan.bookings] == [5.0, 3.0]
    assert check_plan(problem(package(hours=8), sessions=uneven, people=(ANN,)), plan) == []


def test_the_end_of_the_calendar_is_told_when_work_does_not_fit() -> None:
    short = sessions(last=date(2027, 1, 12))
    plan = quick_plan(problem(package(hours=40), sessions=short, people=(ANN,)))
    assert "does not fit before Tue 12 Jan pm" in plan.messages[0]


def test_the_afternoon_is_used_when_the_morning_is_past() -> None:
    plan = quick_plan(problem(package(), first_session=1))
    assert sessions()[plan.spans["fix"].first].half == Half.AFTERNOON


def test_a_package_with_nothing_left_takes_nobody_when_it_is_not_yet_done() -> None:
    plan = quick_plan(problem(package(hours=6), package("attic", hours=0), people=(ANN,)))
    assert plan.broken == ()
    assert {booking.package for booking in plan.bookings} == {"fix"}


def test_visits_agreed_for_later_are_kept_when_work_before_them_is_tight() -> None:
    work = problem(
        package("oak", hours=24, job="oak"), package(hours=8), visit(accepted=2), links=(after("fix", "plaster"),), people=(ANN,)
    )
    assert quick_plan(work).broken == ()


def test_work_before_an_agreed_visit_comes_first_when_other_work_is_more_urgent() -> None:
    oak = package("oak", 16, job="oak")
    promise = Promise("oak", 3, date(2027, 1, 12))
    agreed = problem(package(), visit(accepted=2), oak, links=(after("fix", "plaster"),), people=(ANN,), promises=(promise,))
    plan = quick_plan(agreed)
    assert plan.broken == ()
    assert plan.spans["fix"].last < 2


def test_told_dates_further_off_stand_when_one_cannot_be_kept() -> None:
    """The first house waits for its materials; the second needs nobody else."""
    late = package(arrivals=(Arrival(6, "the cable"),))
    oak = package("oak", job="oak", not_before=10)
    told = (Told("plaster", 2), Told("oak plaster", 12))
    links = (after("fix", "plaster"), after("oak", "oak plaster"))
    plan = quick_plan(problem(late, visit(), oak, visit("oak plaster", job="oak"), links=links, people=(ANN,), told=told))
    assert (plan.spans["plaster"].first, plan.spans["oak plaster"].first) == (8, 12)

"""Each rule about people, broken by hand in a plan that no solver made."""

from dataclasses import replace

from jobs.core.planning.plan import Plan, Span, Status
from jobs.core.planning.problem import Booking, Grade, Mix, Package, Person, Problem
from jobs.core.planning.rules import broken_rules
from jobs.core.stages import Stage
from tests.core.planning.cast import ANN, BOB, CAL, DEE, package, problem


def booked(work: Problem, *bookings: tuple[str, str, int, float], last: int = 1) -> Plan:
    """A plan in which everything runs from session 0 to `last`, with these (person, package, session, hours)."""
    spans = {each.key: Span(each.key, 0, last, 0, last + 1.0) for each in work.packages}
    return Plan(Status.FEASIBLE, spans, tuple(Booking(s, person, key, hours) for person, key, s, hours in bookings))


def broken(work: Problem, *bookings: tuple[str, str, int, float], last: int = 1) -> set[str]:
    return {one.rule for one in broken_rules(work, booked(work, *bookings, last=last))} - {"labour_is_covered"}


def staffed(people: tuple[Person, ...], each: Package) -> set[str]:
    """Rules broken when these people are on the package for one morning."""
    return broken(problem(each, people=people), *((person.key, each.key, 0, 4) for person in people))


def test_a_booking_is_lost_when_its_work_runs_at_another_time() -> None:
    assert broken(problem(package()), ("ann", "fix", 5, 4)) == {"bookings_lie_within_their_work"}


def test_nobody_is_there_when_they_are_on_holiday() -> None:
    away = replace(ANN, away={0: "on holiday"})
    assert broken(problem(package(), people=(away,)), ("ann", "fix", 0, 4)) == {"nobody_is_booked_while_away"}


def test_one_person_cannot_be_in_two_houses_when_it_is_the_same_half_day() -> None:
    work = problem(package(), package("oak", job="oak"))
    assert broken(work, ("ann", "fix", 0, 2), ("ann", "oak", 0, 2)) == {"nobody_is_on_two_sites_at_once"}


def test_one_person_may_do_two_packages_when_they_are_in_one_house() -> None:
    work = problem(package(), package("garage"))
    assert broken(work, ("ann", "fix", 0, 2), ("ann", "garage", 0, 2)) == set()


def test_a_session_is_overfull_when_more_hours_are_booked_than_it_has() -> None:
    assert broken(problem(package()), ("ann", "fix", 0, 5)) == {"nobody_works_longer_than_their_session"}


def test_short_hours_are_kept_when_someone_works_part_time() -> None:
    short = replace(ANN, afternoon_hours=2.0)
    assert broken(problem(package(), people=(short,)), ("ann", "fix", 1, 3)) == {"nobody_works_longer_than_their_session"}


def test_a_week_is_too_long_when_a_limit_is_passed() -> None:
    short = replace(ANN, weekly_hours_limit=6)
    assert broken(problem(package(), people=(short,)), ("ann", "fix", 0, 4), ("ann", "fix", 1, 4)) == {"day_and_week_limits_hold"}


def test_someone_kept_off_a_job_is_found_when_booked_on_it() -> None:
    assert staffed((ANN,), package(excluded=frozenset({"ann"}))) == {"excluded_people_stay_off"}


def test_a_young_worker_is_alone_when_only_an_apprentice_is_with_them() -> None:
    rules = staffed((DEE, CAL), package(mixes=(Mix(0, 2),)))
    assert "young_workers_are_never_alone" in rules


def test_a_young_worker_is_in_company_when_an_electrician_is_there() -> None:
    assert staffed((ANN, DEE), package(mixes=(Mix(1, 1),))) == set()


def test_a_young_worker_never_tests_when_the_stage_is_live_testing() -> None:
    testing = package(stage=Stage.TEST, mixes=(Mix(1, 1),))
    assert staffed((ANN, DEE), testing) == {"young_workers_never_test"}


def test_a_test_is_open_to_an_apprentice_when_they_have_turned_18() -> None:
    grown = replace(DEE, adult_from=0, needs_supervision=True)
    assert staffed((ANN, grown), package(stage=Stage.TEST, mixes=(Mix(1, 1),))) == set()


def test_apprentices_are_unsupervised_when_they_outnumber_electricians() -> None:
    assert staffed((ANN, CAL, DEE), package(mixes=(Mix(1, 2),))) == {"helpers_are_supervised"}


def test_a_test_lacks_a_tester_when_only_others_come() -> None:
    assert staffed((BOB,), package(needs_tester=True)) == {"tests_have_a_tester"}


def test_a_crew_is_refused_when_the_package_does_not_take_it() -> None:
    assert staffed((ANN, BOB), package(mixes=(Mix(1),))) == {"crews_are_accepted"}


def test_an_electrician_may_stand_in_when_a_helper_is_wanted() -> None:
    assert staffed((ANN, BOB), package(mixes=(Mix(1, 1),))) == set()


def test_work_is_left_over_when_too_few_hours_are_booked() -> None:
    work = problem(package(hours=8))
    words = [one.words for one in broken_rules(work, booked(work, ("ann", "fix", 0, 4)))]
    assert words == ["Fix, Mill Lane has 8 hours of work left but people booked for 4 hours of it."]


def test_an_apprentice_covers_less_when_hours_are_weighed_by_productivity() -> None:
    work = problem(package(hours=8, mixes=(Mix(1, 1),)))
    plan = booked(work, *((person, "fix", s, 4) for person in ("ann", "cal") for s in (0,)))
    assert "booked for 6 hours" in broken_rules(work, plan)[0].words


def joined(person: Person, each: Package, *crew: Person) -> set[str]:
    """Rules broken when a person is alongside a crew on a package for one morning."""
    work = problem(each, people=(*crew, person))
    plan = booked(work, *((other.key, each.key, 0, 4) for other in crew))
    beside = Booking(0, person.key, each.key, 4, is_alongside=True)
    return {one.rule for one in broken_rules(work, replace(plan, bookings=(*plan.bookings, beside)))} - {"labour_is_covered"}


def test_an_apprentice_may_go_alongside_when_the_crew_is_complete_without_them() -> None:
    assert joined(CAL, package(), ANN) == set()


def test_nobody_goes_alongside_nobody() -> None:
    assert joined(CAL, package()) == {"nobody_goes_alongside_where_they_may_not", "helpers_are_supervised"}


def test_a_young_apprentice_stays_away_when_there_is_testing_to_see() -> None:
    test = package(stage=Stage.TEST, needs_tester=True)
    assert joined(DEE, test, ANN) == {"young_workers_never_test"}


def test_two_apprentices_are_too_many_when_one_of_them_is_alongside_one_electrician() -> None:
    each = package(mixes=(Mix(1, 1),))
    assert joined(DEE, each, ANN, CAL) == {"helpers_are_supervised"}


def test_a_labourer_stays_away_when_the_work_takes_apprentices_only() -> None:
    labourer = replace(CAL, grade=Grade.LABOURER)
    assert joined(labourer, package(helper_grade=Grade.APPRENTICE), ANN) == {"nobody_goes_alongside_where_they_may_not"}


def test_work_is_not_covered_by_those_alongside() -> None:
    work = problem(package(hours=5), people=(ANN, CAL))
    plan = booked(work, ("ann", "fix", 0, 4))
    beside = Booking(0, "cal", "fix", 4, is_alongside=True)
    assert "labour_is_covered" in {one.rule for one in broken_rules(work, replace(plan, bookings=(*plan.bookings, beside)))}

from dataclasses import replace

from jobs.core.planning import crews
from jobs.core.planning.crews import Crew
from jobs.core.planning.problem import Grade, Mix, Package, Person
from tests.core.planning.cast import ANN, BOB, CAL, CREW, DEE, package, problem


def crews_of(work: Package, *people: Person) -> tuple[Crew, ...]:
    return crews.crews(crews.team(problem(work, people=people or CREW)), work)


def test_an_electrician_sets_the_pace_when_working_alone() -> None:
    (crew,) = crews_of(package(mixes=(Mix(1),)))
    assert (crew.places, crew.pace) == ((frozenset({"ann", "bob"}),), 1.0)


def test_a_slow_helper_never_makes_a_plan_late_when_helpers_differ() -> None:
    quick = replace(CAL, key="eve", productivity=0.8)
    paces = {crew.pace: crew.places[1] for crew in crews_of(package(mixes=(Mix(1, 1),)), ANN, CAL, quick)}
    assert paces[1.5] == frozenset({"ann", "cal", "eve"})
    assert paces[1.8] == frozenset({"ann", "eve"})


def test_a_tester_takes_a_place_when_the_package_is_tested() -> None:
    (crew, *_) = crews_of(package(needs_tester=True, mixes=(Mix(1),)))
    assert crew.places == (frozenset({"ann"}),)


def test_the_young_keep_away_when_a_package_is_tested() -> None:
    places = {place for crew in crews_of(package(needs_tester=True, mixes=(Mix(1, 1),))) for place in crew.places}
    assert not any("dee" in place for place in places)


def test_helpers_beyond_the_electricians_need_no_supervision_when_there_are_more_of_them() -> None:
    gil = Person("gil", "Gil", Grade.IMPROVER, 0.8)
    last = {crew.places[2] for crew in crews_of(package(mixes=(Mix(1, 2),)), ANN, BOB, CAL, gil)}
    assert all("cal" not in place for place in last)


def test_excluded_people_have_no_place_when_they_are_kept_off() -> None:
    assert crews_of(package(excluded=frozenset({"ann", "bob"}))) == ()


def test_labourers_have_no_place_when_skill_is_needed() -> None:
    hal = Person("hal", "Hal", Grade.LABOURER, 0.5)
    work = package(mixes=(Mix(1, 1),), helper_grade=Grade.APPRENTICE)
    assert crews_of(work, ANN, hal) == ()


def test_short_days_slow_a_crew_when_someone_works_part_of_each() -> None:
    short = replace(ANN, morning_hours=2.0, afternoon_hours=2.0)
    (crew,) = crews_of(package(mixes=(Mix(1),)), short)
    assert crew.pace == 0.5


def test_different_people_fill_different_places_when_matched() -> None:
    both = frozenset({"ann", "bob"})
    assert crews.match((both, frozenset({"ann"}))) == {0: "bob", 1: "ann"}
    assert crews.match((frozenset({"ann"}), frozenset({"ann"}))) is None


def test_a_smaller_crew_may_carry_on_when_its_people_are_there() -> None:
    leads, anyone = frozenset({"ann"}), frozenset({"ann", "cal"})
    assert crews.may_carry_on((leads, anyone), (anyone,))
    assert not crews.may_carry_on((anyone,), (leads,))


def test_the_youngest_is_counted_out_when_the_week_is_used_up() -> None:
    the_team = crews.team(problem(package(), people=(replace(DEE, weekly_hours_limit=24.0),)))
    assert [s for s in the_team.hours["dee"] if s < 10] == [0, 1, 2, 3, 4, 5]

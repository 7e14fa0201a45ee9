from datetime import date

from jobs.core.planning import find_conflicts
from jobs.core.planning.problem import Pin, Problem, Promise
from tests.core.planning.cast import ANN, BOB, after, package, problem, visit

LINKS = (after("fix", "plaster"),)


def keys(work: Problem) -> list[set[str]]:
    return [{wish.key for wish in conflict.wishes} for conflict in find_conflicts(work, seconds=20)]


def test_nothing_conflicts_when_all_can_be_kept() -> None:
    assert keys(problem(package(), visit(accepted=4), links=LINKS)) == []


def test_one_visit_conflicts_with_the_facts_when_it_is_too_early() -> None:
    conflict = find_conflicts(problem(package(), visit(accepted=1), links=LINKS), seconds=20)[0]
    assert conflict.words == "Plaster, Mill Lane was agreed for Mon 11 Jan pm: cannot be kept."
    assert conflict.wishes[0].if_relaxed == "without it the nearest possible start is Tue 12 Jan"
    assert conflict.is_smallest


def test_a_pin_and_a_visit_conflict_when_one_must_come_first() -> None:
    work = problem(package(), visit(accepted=4), links=LINKS, pins=(Pin("pin", "fix", 6),))
    assert keys(work) == [{"pin", "plaster"}]


def test_only_the_two_that_conflict_are_named_when_there_are_more_wishes() -> None:
    houses = (package(hours=16), package("oak", hours=16, job="oak"), package("elm", hours=4, job="elm"))
    promises = tuple(Promise(job, session, date(2027, 1, 12)) for job, session in (("mill", 3), ("oak", 3), ("elm", 30)))
    assert keys(problem(*houses, people=(ANN,), promises=promises)) == [{"mill", "oak"}]


def test_relief_is_told_when_a_promise_is_given_up() -> None:
    houses = (package(hours=16), package("oak", hours=16, job="oak"))
    promises = tuple(Promise(job, 3, date(2027, 1, 12), "the customer") for job in ("mill", "oak"))
    conflict = find_conflicts(problem(*houses, people=(ANN,), promises=promises), seconds=20)[0]
    assert {wish.if_relaxed for wish in conflict.wishes} == {"without it the job can finish Thu 14 Jan pm"}


def test_two_pins_conflict_when_one_person_would_be_in_two_houses() -> None:
    pins = (Pin("a", "fix", 3, "ann"), Pin("b", "oak", 3, "ann"))
    assert keys(problem(package(), package("oak", job="oak"), people=(ANN, BOB), pins=pins)) == [{"a", "b"}]


def test_conflicts_that_share_nothing_are_all_named_when_there_are_two() -> None:
    houses = (package(), visit(accepted=1), package("oak", job="oak"), visit("oak plaster", job="oak", accepted=0))
    work = problem(*houses, links=(*LINKS, after("oak", "oak plaster")))
    assert sorted(keys(work), key=sorted) == [{"oak plaster"}, {"plaster"}]

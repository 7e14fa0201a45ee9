from dataclasses import replace

from jobs.core.planning import compare_plans, quick_plan
from jobs.core.planning.problem import Told
from tests.core.planning.cast import ANN, BOB, after, package, problem, visit

HOUSE = problem(package(), visit(), links=(after("fix", "plaster"),), told=(Told("plaster", 2, "the plasterer"),), people=(ANN,))


def sick(first: int, last: int):
    return replace(HOUSE, people=(replace(ANN, away=dict.fromkeys(range(first, last), "off sick")), BOB))


def test_nothing_is_told_when_nothing_moves() -> None:
    plan = quick_plan(HOUSE)
    assert compare_plans(HOUSE, plan, plan).is_empty


def test_told_dates_come_first_when_they_move() -> None:
    later = replace(HOUSE, people=(replace(ANN, away=dict.fromkeys(range(4), "off sick")),))
    changes = compare_plans(later, quick_plan(HOUSE), quick_plan(later))
    assert [move.words for move in changes.told] == ["Plaster, Mill Lane moves from Tue 12 Jan to Thu 14 Jan"]
    assert changes.told[0].because == "Fix ends Wed 13 Jan pm ← Ann is off sick until Tue 12 Jan pm"


def test_another_person_is_named_when_a_booking_changes_hands() -> None:
    changes = compare_plans(sick(0, 4), quick_plan(HOUSE), quick_plan(sick(0, 4)))
    assert changes.told == ()
    assert {change.words for change in changes.bookings} == {
        "Ann, Mon 11 Jan am: free (was Fix, Mill Lane)",
        "Ann, Mon 11 Jan pm: free (was Fix, Mill Lane)",
        "Bob, Mon 11 Jan am: Fix, Mill Lane (was free)",
        "Bob, Mon 11 Jan pm: Fix, Mill Lane (was free)",
    }


def test_new_work_is_named_when_a_package_is_added() -> None:
    more = replace(HOUSE, packages=(*HOUSE.packages, package("garage", hours=2)))
    changes = compare_plans(more, quick_plan(HOUSE), quick_plan(more))
    assert [(move.key, move.was) for move in changes.packages] == [("garage", None)]

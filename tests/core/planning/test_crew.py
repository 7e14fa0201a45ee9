from dataclasses import replace

from jobs.core.planning import quick_plan
from jobs.core.planning.plan import Plan
from jobs.core.planning.problem import Booking, Mix
from tests.core.planning.cast import ANN, BOB, CAL, package, problem


def people_on(plan: Plan, key: str) -> list[set[str]]:
    """Who is on a package, session by session."""
    sessions = sorted({b.session for b in plan.bookings if b.package == key})
    return [{b.person for b in plan.bookings if (b.session, b.package) == (s, key)} for s in sessions]


def test_the_same_person_stays_when_work_goes_on_for_days() -> None:
    both = problem(package(hours=24), package("oak", hours=24, job="oak"), people=(ANN, BOB))
    plan = quick_plan(both)
    assert all(len(set(map(frozenset, people_on(plan, key)))) == 1 for key in ("fix", "oak"))


def test_the_preferred_person_goes_when_either_could() -> None:
    plan = quick_plan(problem(package(preferred=frozenset({"bob"})), people=(ANN, BOB)))
    assert people_on(plan, "fix") == [{"bob"}, {"bob"}]


def test_electricians_are_kept_for_electrical_work_when_helpers_are_there() -> None:
    plan = quick_plan(problem(package(mixes=(Mix(1, 1),)), people=(ANN, BOB, CAL)))
    assert all("cal" in people for people in people_on(plan, "fix"))


def test_someone_else_steps_in_when_a_person_falls_sick() -> None:
    work = problem(package(hours=16), people=(replace(ANN, away={2: "off sick", 3: "off sick"}), BOB))
    booked = tuple(Booking(s, "ann", "fix", 4.0) for s in range(4))
    assert people_on(quick_plan(replace(work, bookings=booked)), "fix") == [{"ann"}, {"ann"}, {"bob"}, {"bob"}]


def test_hours_are_split_when_two_packages_share_a_session() -> None:
    plan = quick_plan(problem(package(hours=3), package("garage", hours=1), people=(ANN,)))
    assert sorted(b.hours for b in plan.bookings) == [1.0, 3.0]

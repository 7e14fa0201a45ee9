"""Time kept in hand before visits that nobody was given a date for."""

from dataclasses import replace

from jobs.core.planning import check_plan, quick_plan
from jobs.core.planning.offers import keep_in_hand, settle, to_offer
from jobs.core.planning.plan import CauseKind
from jobs.core.planning.problem import LinkKind, Pin, Problem, Promise, Told
from jobs.core.planning.spreads import Spreads
from tests.core.planning.cast import ANN, MONDAY, after, package, problem, visit

USUAL = Spreads()


def house(**visit_fields: object) -> Problem:
    return problem(
        package("first", 40), visit("plaster", **visit_fields), people=(ANN,), links=(after("first", "plaster"),)
    )


def test_a_visit_nobody_heard_of_is_offered_when_a_plan_is_made() -> None:
    work = house()
    assert to_offer(work, quick_plan(work), moved_too=False) == {"plaster"}


def test_an_accepted_visit_is_not_offered_again_when_a_plan_is_made() -> None:
    work = house(accepted=12)
    assert to_offer(work, quick_plan(work), moved_too=True) == set()


def test_a_visit_put_by_hand_stays_when_a_plan_is_made() -> None:
    work = replace(house(), pins=(Pin("pin", "plaster", 12),))
    assert to_offer(work, quick_plan(work), moved_too=True) == set()


def test_a_told_date_stays_when_the_plan_keeps_it() -> None:
    work = replace(house(), told=(Told("plaster", 10),))
    assert to_offer(work, quick_plan(work), moved_too=True) == set()


def test_a_told_date_is_offered_anew_when_the_plan_cannot_keep_it() -> None:
    work = replace(house(), told=(Told("plaster", 6),))
    plan = quick_plan(work)
    assert to_offer(work, plan, moved_too=True) == {"plaster"}
    assert to_offer(work, plan, moved_too=False) == set()


def test_the_gap_is_p80_of_the_work_when_one_package_comes_before() -> None:
    """40 hours of first fix with a spread of 0.25 take 49.4 hours in four cases of five: into the 13th half day."""
    work = house()
    assert keep_in_hand(work, quick_plan(work), USUAL).links[0].spare_sessions == 3


def test_no_rule_is_broken_when_a_plan_keeps_nothing_in_hand() -> None:
    work = house()
    spared = keep_in_hand(work, quick_plan(work), USUAL)
    assert check_plan(spared, quick_plan(work)) == []


def test_the_reason_names_the_time_in_hand_when_a_visit_waits_for_it() -> None:
    settled = settle(house(), USUAL, quick_plan, rounds=2)
    cause = settled.plan.causes["plaster"]
    assert cause.kind == CauseKind.PREDECESSOR
    assert cause.words.endswith("then 1.5 days in hand so that the date holds")


def test_one_round_is_enough_when_every_date_holds() -> None:
    made = []
    work = house(accepted=14)
    settle(work, USUAL, lambda asked: made.append(asked) or quick_plan(asked), rounds=4)
    assert made == [work]


def test_the_gap_fits_the_stage_when_a_visit_runs_inside_it() -> None:
    late = package("before", 60)
    work = problem(
        late, package("first", 12), visit("plumber", 2), people=(ANN,),
        links=(after("before", "first"), after("first", "plumber", kind=LinkKind.INSIDE)),
    )
    spared = keep_in_hand(work, quick_plan(work), USUAL)
    assert spared.links[1].spare_sessions == 1


def test_the_firmer_plan_is_chosen_when_later_rounds_are_worse() -> None:
    work = house()
    loose = quick_plan(work)
    plans = iter([loose, quick_plan(keep_in_hand(work, loose, USUAL)), loose])
    assert not settle(work, USUAL, lambda asked: next(plans), rounds=3).short


def test_bad_input_comes_back_when_nothing_can_be_planned() -> None:
    work = replace(house(), people=())
    assert settle(work, USUAL, quick_plan, rounds=2).plan.messages


def test_the_seed_stands_when_nothing_better_is_made() -> None:
    work = house()
    firm = settle(work, USUAL, quick_plan, rounds=2)
    assert settle(firm.problem, USUAL, lambda _: quick_plan(work), rounds=1, seed=firm.plan).plan == firm.plan


def test_a_promise_comes_first_when_time_in_hand_would_break_it() -> None:
    work = replace(house(), promises=(Promise("mill", 11, MONDAY),))
    settled = settle(work, USUAL, quick_plan, rounds=3)
    assert settled.plan.spans["plaster"].last == 11
    assert settled.short == {"plaster"}


def test_the_plan_with_firmer_agreed_dates_is_chosen_when_both_keep_the_rest() -> None:
    """A visit accepted for Friday: the plan that does its first fix from Monday on rather than Tuesday is worth more."""
    early = problem(package("first", 24), visit("plaster", accepted=8), people=(ANN,), links=(after("first", "plaster"),))
    late = replace(early, packages=(replace(early.packages[0], not_before=2),))
    found = [
        settle(early, USUAL, lambda _, made=made: quick_plan(made), rounds=1, seed=quick_plan(late)) for made in (late, early)
    ]
    assert [settled.weak for settled in found] == [{"plaster"}, frozenset()]

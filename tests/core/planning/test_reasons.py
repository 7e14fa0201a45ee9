from dataclasses import replace

from jobs.core.planning import explain, quick_plan
from jobs.core.planning.plan import CauseKind
from jobs.core.planning.problem import Arrival, LinkKind, Pin, Problem, Told
from tests.core.planning.cast import ANN, BOB, after, package, problem, visit


def why(work: Problem, key: str) -> list[str]:
    """The words of the chain."""
    return [cause.words for _, cause in explain(work, quick_plan(work), key)]


def kind(work: Problem, key: str) -> CauseKind:
    return quick_plan(work).causes[key].kind


def test_a_chain_leads_back_to_now_when_one_thing_waits_for_another() -> None:
    house = problem(package(), visit(), links=(after("fix", "plaster"),))
    assert why(house, "plaster") == ["Fix ends Mon 11 Jan pm", "as soon as work can start"]


def test_the_other_house_is_named_when_the_crew_is_there() -> None:
    both = problem(package(hours=16), package("oak", hours=40, job="oak"), people=(ANN,))
    assert why(both, "oak")[0] == "Ann on Fix, Mill Lane until Tue 12 Jan pm"


def test_drying_is_named_when_plaster_is_wet() -> None:
    house = problem(visit(), package(), links=(after("plaster", "fix", lag_days=7, reason="plaster dries"),))
    assert why(house, "fix")[0] == "plaster dries: 7 days from Plaster, Mon 11 Jan"


def test_an_absence_is_named_when_the_only_electrician_is_away() -> None:
    away = replace(ANN, away={0: "on holiday", 1: "on holiday"})
    assert why(problem(package(), people=(away,)), "fix") == ["Ann is on holiday until Mon 11 Jan pm"]


def test_the_agreed_slot_is_named_when_a_visit_is_accepted() -> None:
    assert why(problem(visit(accepted=4)), "plaster") == ["Plaster agreed for Wed 13 Jan"]


def test_the_hand_is_named_when_work_is_pinned() -> None:
    assert why(problem(package(), pins=(Pin("p", "fix", 6),)), "fix") == ["put there by hand for Thu 14 Jan"]


def test_the_delivery_is_named_when_goods_are_late() -> None:
    assert kind(problem(package(arrivals=(Arrival(4, "the cable"),))), "fix") == CauseKind.DELIVERY


def test_the_date_is_named_when_work_may_not_start_before() -> None:
    assert kind(problem(package(not_before=4)), "fix") == CauseKind.NOT_BEFORE


def test_the_trade_is_named_when_it_does_not_work_before() -> None:
    assert kind(problem(visit(closed=frozenset({0, 1}))), "plaster") == CauseKind.TRADE_CLOSED


def test_the_promise_is_named_when_a_told_date_keeps_a_visit_late() -> None:
    assert kind(problem(visit(), told=(Told("plaster", 8, "the plasterer"),)), "plaster") == CauseKind.TOLD


def test_open_boards_are_named_when_they_keep_others_out() -> None:
    house = problem(package(hours=8, keeps_clear=frozenset({"Hall"})), package("hall", hours=2, area="Hall"), people=(ANN, BOB))
    kinds = {quick_plan(house).causes[key].kind for key in ("fix", "hall")}
    assert kinds == {CauseKind.NOW, CauseKind.BOARDS_OPEN}


def test_the_host_is_named_when_a_visit_falls_inside() -> None:
    house = problem(package(not_before=4), visit(), links=(after("fix", "plaster", kind=LinkKind.INSIDE),))
    assert kind(house, "plaster") == CauseKind.INSIDE


def test_work_already_begun_needs_no_reason_when_it_goes_on() -> None:
    assert kind(problem(package(started_on=problem().sessions[0].on)), "fix") == CauseKind.STARTED

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction

from jobs.actions.permission import Refused
from jobs.actions.power import let_power_on
from jobs.core.stages import RoomKind
from jobs.models import Job, PowerOverride, RoomTask
from jobs.queries.power_gate import load_power_holds, load_room_power_holds
from tests.factories import NOW, make_firm, make_office, make_package, make_room
from tests.tested_house import TestedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house():
    return TestedHouse()


def add_line(house, room, code: str) -> RoomTask:
    package = room.area.packages.filter(stage="test").first() or make_package(room.area, "test")
    return RoomTask.objects.create(firm=house.firm, package=package, room=room, code=code, text=code, is_hold_point=True)


def tick(house, line, kind: str = "tick", **value: object):
    return house.send(kind, line.uid, ({"share": 1} if kind == "tick" else {"reason": "done by others"}) | value)


def let_on(house, *keys: str, reason: str = "Lights are needed to work by", by=None):
    return let_power_on(job=house.job, keys=keys, reason=reason, by=by or house.office, now=NOW)


def make_ready(house):
    house.send_supply(ze="0.31", pfc="1.2", supply_pol="ok")
    for circuit in (house.ring, house.lights):
        house.dead_test(circuit)


@pytest.mark.parametrize("code", ["check:T9", "check:T5", "check:T6", "check:T7"])
def test_tick_for_power_is_refused_in_words_when_readings_are_missing(house, code):
    answer = tick(house, add_line(house, house.lounge, code))

    assert answer.status == 409
    assert answer.reason.startswith("Power is held. Supply: Ze, earth fault loop of the supply: not entered, and 2 more")
    assert answer.state["share"] == 0


def test_line_is_not_set_aside_either_when_readings_are_missing(house):
    assert tick(house, add_line(house, house.lounge, "check:T9"), "not_needed").status == 409


@pytest.mark.parametrize("code", ["check:T1", "check:T4", "check:T8"])
def test_dead_lines_are_ticked_when_readings_are_missing(house, code):
    assert tick(house, add_line(house, house.lounge, code)).result == "applied"


def test_tick_counts_when_the_readings_came_first(house):
    line = add_line(house, house.lounge, "check:T9")
    make_ready(house)

    assert tick(house, line).result == "applied"


def test_tick_is_refused_when_a_dead_test_failed(house):
    line = add_line(house, house.hall, "check:T9")
    make_ready(house)
    house.dead_test(house.lights, ir_earth="0.4")

    assert "L1: Insulation, live to earth: outside the limit" in tick(house, line).reason


def test_room_waits_for_its_own_circuits_alone(house):
    line = add_line(house, house.lounge, "check:T9")
    house.send_supply(ze="0.31", pfc="1.2", supply_pol="ok")
    house.dead_test(house.ring)

    assert [hold.of_what for hold in load_room_power_holds(house.hall)] == ["L1"]
    assert tick(house, line).result == "applied"


def test_consumer_unit_waits_for_the_supply(house):
    board = make_room(house.lounge.area, "Under the stairs", RoomKind.BOARD)

    assert [hold.of_what for hold in load_room_power_holds(board)] == ["Supply"]


def test_untick_is_always_taken(house):
    line = add_line(house, house.lounge, "check:T9")
    make_ready(house)
    mark = tick(house, line).ack
    house.dead_test(house.ring, polarity="fail")

    assert house.send("untick", line.uid, {"replaces": [mark]}).result == "applied"


def test_tick_counts_when_the_office_let_power_on(house):
    line = add_line(house, house.lounge, "check:T9")
    let_on(house, "supply", str(house.ring.pk))

    assert tick(house, line).result == "applied"
    assert PowerOverride.objects.get(circuit=house.ring).reason == "Lights are needed to work by"


def test_override_covers_what_held_then_and_not_a_new_failure(house):
    make_ready(house)
    house.dead_test(house.lights, polarity="LIM")
    let_on(house, str(house.lights.pk))
    assert load_power_holds(house.job) == []
    house.dead_test(house.lights, polarity="LIM", ir_earth="0.1")

    assert [hold.words for hold in load_power_holds(house.job)] == ["L1: Insulation, live to earth: outside the limit"]


@pytest.mark.parametrize(("keys", "reason", "words"), [
    (["supply"], "  ", "Say why power may go on"), ([], "because", "Nothing chosen holds"),
    (["999"], "because", "Nothing chosen holds"),
])
def test_override_is_refused_when_something_is_not_said(house, keys, reason, words):
    with pytest.raises(Refused, match=words):
        let_on(house, *keys, reason=reason)


def test_override_is_refused_when_the_job_is_closed(house):
    Job.objects.filter(pk=house.job.pk).update(state=Job.State.HANDED_OVER)
    with pytest.raises(Refused, match="is closed"):
        let_on(house, "supply")


def test_only_the_office_lets_power_on(house):
    for by in (house.phone, make_office(make_firm("Other"))):
        with pytest.raises(PermissionDenied):
            let_on(house, "supply", by=by)


def test_override_is_never_changed(house):
    row, = let_on(house, "supply")
    with pytest.raises(DatabaseError), transaction.atomic():
        PowerOverride.objects.filter(pk=row.pk).update(reason="another")

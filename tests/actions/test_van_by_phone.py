"""Ticks of van lists as phones send them: late, twice, in any company."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions.operations import apply_operation
from jobs.models import SiteOperation, VanTick
from tests.factories import NOW, TODAY, make_crew_user, make_person
from tests.stores import make_store

pytestmark = pytest.mark.django_db
LINE = str(uuid4())


@pytest.fixture
def store():
    store = make_store()
    store.receive(50)
    return store


def put_on(store, **changes):
    value = {
        "line": LINE, "on": (TODAY + timedelta(days=1)).isoformat(), "thing": "back-box", "place": store.unit.pk, "drum": "",
        "quantity": "12",
    }
    return body(store, "put_on_van", value | changes)


def take_off(store, line=LINE):
    return body(store, "take_off_van", {"line": line})


def body(store, kind, value):
    return {
        "op_id": str(uuid4()), "kind": kind, "item": str(store.person.uid), "value": value,
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }


def send(store, operation, by=None):
    return apply_operation(user=by or make_crew_user(store.person), body=operation, now=NOW)


def test_tick_sent_twice_moves_the_stock_once(store):
    operation, own = put_on(store), make_crew_user(store.person)
    results = [send(store, operation, own).result, send(store, operation, own).result]
    assert (results, store.held(store.van)) == (["applied", "duplicate"], 12)
    assert SiteOperation.objects.get().job is None


def test_line_ticked_by_office_and_phone_is_put_on_once(store):
    own = make_crew_user(store.person)
    assert [send(store, put_on(store), by).result for by in (store.office, own)] == ["applied", "applied"]
    assert (store.held(store.van), VanTick.objects.count()) == (12, 1)


def test_put_on_taken_off_and_put_on_again_arrives_in_order(store):
    own, again = make_crew_user(store.person), str(uuid4())
    for operation in (put_on(store), take_off(store), put_on(store, line=again)):
        assert send(store, operation, own).result == "applied"
    assert store.held(store.van) == 12


def test_tick_that_was_taken_off_since_is_refused(store):
    send(store, put_on(store), store.office)
    send(store, take_off(store), store.office)
    assert "taken off again" in send(store, put_on(store)).reason
    assert store.held(store.van) == 0


def test_drum_goes_by_its_label(store):
    store.receive_drum("D4", 60)
    assert send(store, put_on(store, thing="cable", drum="D4", quantity="40")).result == "applied"
    assert store.held(store.van, store.cable) == Decimal(60)


@pytest.mark.parametrize(
    "changes", [{"thing": "gone"}, {"place": 2_000_000}, {"drum": "D9"}, {"thing": "cable"}, {"quantity": "51"}]
)
def test_tick_of_what_is_not_there_any_more_is_refused_in_words(store, changes):
    answer = send(store, put_on(store, **changes))
    assert (answer.result, bool(answer.reason), VanTick.objects.count()) == ("refused", True, 0)


def test_tick_that_never_was_cannot_be_taken_off(store):
    assert send(store, take_off(store)).result == "refused"


def test_van_of_somebody_else_is_refused_to_the_crew(store):
    other = make_crew_user(make_person(store.firm, "Bo Finch"))
    assert [send(store, operation, other).result for operation in (put_on(store), take_off(store))] == ["refused"] * 2


def test_person_of_another_firm_is_not_found(store):
    assert send(store, put_on(store), make_store("Other Electrics").office).result == "bad"

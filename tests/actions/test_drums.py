from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions import drums
from jobs.actions.drums import NewDrum
from jobs.actions.permission import Refused
from jobs.models import Drum
from tests.factories import NOW
from tests.stores import make_store

pytestmark = pytest.mark.django_db


def receive(store, *labels, item=None, op_id=None, metres="100"):
    return drums.receive_drums(
        item=item or store.cable, drums=[NewDrum(label, Decimal(metres)) for label in labels], to=store.unit,
        op_id=op_id or uuid4(), by=store.office, at=NOW,
    )


def use(store, drum, metres, **changes):
    arguments = {"metres": Decimal(metres), "job": store.job, "op_id": uuid4(), "by": store.office, "at": NOW}
    return drums.use_drum(drum=drum, **arguments | changes)


def test_each_drum_is_a_piece_of_its_own_when_received(store):
    receive(store, "D1", "D2")
    assert [drums.whereabouts(drum) for drum in Drum.objects.all()] == [(store.unit, 100), (store.unit, 100)]


def test_no_drum_is_doubled_when_an_operation_comes_again(store):
    op_id = uuid4()
    assert receive(store, "D1", op_id=op_id) == receive(store, "D1", op_id=op_id)
    assert Drum.objects.count() == 1


def test_changed_form_is_refused_when_it_was_saved_before(store):
    op_id = uuid4()
    receive(store, "D1", op_id=op_id)
    with pytest.raises(Refused, match="other drums"):
        receive(store, "D2", op_id=op_id)


@pytest.mark.parametrize(
    ("labels", "words"),
    [
        ((), "at least one drum"),
        (("D1", "D1"), "the same label"),
        ((" ",), "Give each drum a label"),
        (("D9",), "a drum D9 already"),
    ],
)
def test_labels_are_refused_when_they_do_not_tell_drums_apart(store, labels, words):
    store.receive_drum("D9")
    with pytest.raises(Refused, match=words):
        receive(store, *labels)


def test_nothing_is_kept_when_one_label_is_wrong(store):
    store.receive_drum("D9")
    with pytest.raises(Refused):
        receive(store, "D1", "D9")
    assert Drum.objects.count() == 1


def test_pieces_are_refused_as_a_drum(store):
    with pytest.raises(Refused, match="does not come on drums"):
        receive(store, "D1", item=store.box)


def test_drum_carries_its_metres_when_moved(store):
    drum = store.receive_drum(metres=80)
    drums.move_drum(drum=drum, moved_to=store.van, op_id=uuid4(), by=store.office, at=NOW)
    assert drums.whereabouts(drum) == (store.van, 80)


def test_move_is_refused_when_the_drum_is_there(store):
    with pytest.raises(Refused, match="there already"):
        drums.move_drum(drum=store.receive_drum(), moved_to=store.unit, op_id=uuid4(), by=store.office, at=NOW)


def test_metres_are_fitted_when_cut(store):
    drum = store.receive_drum()
    use(store, drum, "34.50")
    assert drums.whereabouts(drum) == (store.unit, Decimal("65.50"))
    assert store.held(store.fitted, store.cable) == Decimal("34.50")


def test_cut_is_booked_once_when_the_drum_moved_before_the_answer_came_again(store):
    drum, op_id = store.receive_drum(), uuid4()
    first = use(store, drum, "30", op_id=op_id)
    drums.move_drum(drum=drum, moved_to=store.van, op_id=uuid4(), by=store.office, at=NOW)
    assert use(store, drum, "30", op_id=op_id) == first
    assert drums.whereabouts(drum) == (store.van, 70)


def test_cut_is_refused_when_the_drum_is_shorter(store):
    with pytest.raises(Refused, match="the books show 20 of drum D1 there, not 30"):
        use(store, store.receive_drum(metres=20), "30")


def test_drum_owes_metres_when_more_was_on_it_than_booked(store):
    drum = store.receive_drum(metres=20)
    use(store, drum, "30", even_if_short=True)
    assert drums.whereabouts(drum) == (store.unit, -10)


def test_what_a_place_owes_goes_along_when_the_drum_moves(store):
    drum = store.receive_drum(metres=20)
    use(store, drum, "30", even_if_short=True)
    drums.move_drum(drum=drum, moved_to=store.van, op_id=uuid4(), by=store.office, at=NOW)
    assert drums.whereabouts(drum) == (store.van, -10)


def test_drum_is_as_long_as_measured_when_counted(store):
    drum = store.receive_drum()
    drums.count_drum(drum=drum, found=Decimal("91.40"), op_id=uuid4(), by=store.office, at=NOW)
    assert drums.whereabouts(drum) == (store.unit, Decimal("91.40"))


def test_empty_drum_is_where_it_was_last(store):
    drum = store.receive_drum(metres=20)
    drums.move_drum(drum=drum, moved_to=store.site, op_id=uuid4(), by=store.office, at=NOW)
    use(store, drum, "20")
    assert drums.whereabouts(drum) == (store.site, 0)


def test_count_is_refused_when_the_drum_was_cut_meanwhile(store):
    drum = store.receive_drum()
    use(store, drum, "10")
    with pytest.raises(Refused, match="D1 went from 100 to 90"):
        drums.count_drum(drum=drum, found=Decimal(95), seen=Decimal(100), op_id=uuid4(), by=store.office, at=NOW)


def test_scrap_leaves_the_drum_when_wasted(store):
    drum = store.receive_drum()
    drums.waste_drum(drum=drum, metres=Decimal(2), op_id=uuid4(), by=store.office, at=NOW)
    assert drums.whereabouts(drum) == (store.unit, 98)


def bring_back(store, metres, label="D1-a"):
    return drums.bring_back_offcut(
        item=store.cable, job=store.job, label=label, metres=Decimal(metres), to=store.unit, op_id=uuid4(), by=store.office,
        at=NOW,
    )


def test_offcut_is_a_drum_of_its_own_when_it_comes_back(store):
    use(store, store.receive_drum(), "40")
    bring_back(store, "8")
    assert drums.whereabouts(Drum.objects.get(label="D1-a")) == (store.unit, 8)
    assert store.held(store.fitted, store.cable) == 32


def test_no_more_cable_comes_back_than_was_used(store):
    with pytest.raises(Refused, match="as fitted there"):
        bring_back(store, "8")


def test_foreign_drum_is_refused(store):
    other = make_store("Another firm")
    with pytest.raises(PermissionDenied):
        use(store, other.receive_drum(), "5")

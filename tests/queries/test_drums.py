from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions import drums
from jobs.core.cut_list import Kind
from jobs.queries.drums import list_drums, list_lengths, load_drum, next_labels
from tests.factories import NOW, make_job

pytestmark = pytest.mark.django_db


def cut(store, drum, metres, **changes):
    drums.use_drum(drum=drum, metres=Decimal(metres), job=store.job, op_id=uuid4(), by=store.office, at=NOW, **changes)


def test_drum_says_how_much_is_left_and_where(store):
    drum = store.receive_drum()
    cut(store, drum, 40)
    row = load_drum(drum)
    assert (row.metres, row.percent, row.place, row.kind) == (60, 60, store.unit, Kind.STARTED)


@pytest.mark.parametrize(("metres", "kind"), [(100, Kind.SEALED), (30, Kind.OFFCUT)])
def test_kind_follows_from_the_length_it_came_in_with(store, metres, kind):
    assert load_drum(store.receive_drum(metres=metres)).kind == kind


def test_empty_drum_is_listed_only_when_asked_for(store):
    cut(store, store.receive_drum(), 100)
    assert (list_drums(store.firm), len(list_drums(store.firm, with_empty=True))) == ([], 1)


def test_drum_that_owes_metres_is_listed(store):
    cut(store, store.receive_drum(metres=10), 15, even_if_short=True)
    assert [row.is_negative for row in list_drums(store.firm)] == [True]


def test_labels_go_on_from_the_highest(store):
    for label in ("D7", "D12-a", "reel"):
        store.receive_drum(label)
    assert next_labels(store.firm, 2) == ["D8", "D9"]


def test_first_labels_start_at_one(store):
    assert next_labels(store.firm, 1) == ["D1"]


def test_drums_on_other_sites_are_out_of_reach(store):
    far = make_job(store.firm)
    near = store.receive_drum("D1")
    drums.move_drum(drum=near, moved_to=store.site, op_id=uuid4(), by=store.office, at=NOW)
    rows = list_drums(store.firm)
    assert [length.label for length in list_lengths(rows, store.cable, store.job)] == ["D1"]
    assert list_lengths(rows, store.cable, far) == []

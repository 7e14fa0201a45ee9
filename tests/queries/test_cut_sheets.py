from decimal import Decimal

import pytest

from jobs.core.cut_list import faults
from jobs.models import CircuitRecipe
from jobs.queries.cut_sheets import has_cable_to_pull, load_best_sheets, load_quick_sheets
from tests.factories import (
    NOW,
    make_area,
    make_circuit,
    make_package,
    make_point,
    make_point_kind,
    make_room,
)
from tests.stores import make_store

pytestmark = pytest.mark.django_db


@pytest.fixture
def store():
    store = make_store()
    CircuitRecipe.objects.create(
        firm=store.firm, circuit_kind="ring", cable=store.cable, board_run_metres=5, between_metres=3, drop_metres=1,
        board_leg_metres=1,
    )
    return store


def circuit(store, reference, metres, points=4):
    kind = make_point_kind(store.firm)
    added = make_circuit(store.job, reference, cable_metres=metres)
    room = make_room(store.job.areas.first() or make_area(store.job))
    for _ in range(points):
        make_point(room, kind, added)


def test_measured_circuits_are_cut_from_the_drums_there_are(store):
    store.receive_drum("D1", 60)
    circuit(store, "R1", Decimal(45))
    (sheet,) = load_quick_sheets(store.job)
    assert (sheet.item, sheet.estimated, [cut.length.label for cut in sheet.cut_list.cuts]) == (store.cable, 0, ["D1"])


def test_length_is_estimated_when_nobody_measured(store):
    circuit(store, "R1", None)
    (sheet,) = load_quick_sheets(store.job)
    assert (sheet.estimated, sheet.metres > 0) == (1, True)


def test_ring_longer_than_a_drum_is_pulled_in_parts(store):
    circuit(store, "R1", Decimal(150), points=5)
    (sheet,) = load_quick_sheets(store.job)
    assert (sheet.has_parts, sheet.metres, sheet.cut_list.new_drums, sheet.cut_list.uncut) == (True, 150, 2, ())


def test_best_cuts_can_be_cut_and_save_drums(store):
    for number, metres in enumerate((50, 45, 30, 30, 25, 20)):
        circuit(store, f"R{number}", Decimal(metres))
    (sheet,) = load_best_sheets(store.job)
    assert (sheet.cut_list.new_drums, faults(sheet.request, sheet.cut_list)) == (2, [])


def test_there_is_no_sheet_without_circuits(store):
    assert load_quick_sheets(store.job) == []


def test_cable_is_left_to_pull_until_first_fix_is_finished(store):
    package = make_package(make_area(store.job))
    assert has_cable_to_pull(store.job)
    package.finished_at = NOW
    package.save()
    assert not has_cable_to_pull(store.job)

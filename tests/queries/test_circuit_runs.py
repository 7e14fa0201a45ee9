from decimal import Decimal as D

import pytest

from jobs.actions.circuit_lengths import correct_length
from jobs.models import Room
from jobs.queries.circuit_runs import list_circuit_runs
from tests.factories import NOW

pytestmark = pytest.mark.django_db


def _runs(house):
    return {run.circuit.reference: run for run in list_circuit_runs(house.job)}


def test_runs_say_cable_points_and_lie_when_routed(house):
    runs = _runs(house)
    ring, lights = runs["R1"], runs["L1"]
    assert (ring.live_mm2, ring.point_count, ring.basis.value) == (D("2.5"), 3, "route")
    assert (ring.lay.is_overhead, lights.lay.is_overhead) == (False, True)
    assert (ring.lay.unknown_metres, ring.lay.crossings > 0) == (0, True)


def test_runs_say_so_when_a_length_is_corrected(house):
    correct_length(circuit=house.ring, cable_metres=D(60), reason="Seen", by=house.office, now=NOW)
    ring = _runs(house)["R1"]
    assert (ring.cable_metres, ring.basis.value) == (60, "corrected")


def test_runs_have_no_lie_when_a_room_has_no_place(house):
    Room.objects.filter(pk=house.lounge.pk).update(grid_x_metres=None)
    ring = _runs(house)["R1"]
    assert (ring.lay, ring.basis.value) == (None, "averages")

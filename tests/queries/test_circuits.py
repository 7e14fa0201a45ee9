from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.core.electrics.assumed import WhatIf
from jobs.core.electrics.cables import Method
from jobs.core.electrics.checks import Outcome
from jobs.core.electrics.circuit import Earthing
from jobs.core.stages import CircuitKind
from jobs.models import CircuitDesign, CircuitPart, HouseSupply, Item
from jobs.queries.circuits import find_row, list_flat_cables, load_schedule, try_on_row
from tests.factories import make_circuit
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house():
    house = PlacedHouse()
    house.job.circuits.update(device="RCBO 30 mA type A, B curve", device_rating_amps=6)
    house.job.circuits.filter(reference="R1").update(device_rating_amps=32)
    return house


def row_of(house, circuit):
    return find_row(load_schedule(house.job), circuit)


def test_circuits_stand_by_way_with_bonding_last(house):
    bonding = make_circuit(house.job, "BD", CircuitKind.BONDING)
    house.add(house.hall, "bond-gas", bonding)
    schedule = load_schedule(house.job)
    assert [(row.circuit.reference, row.way) for row in schedule.rows] == [("R1", 1), ("L1", 2), ("BD", None)]
    assert [check.outcome for check in schedule.rows[2].checks] == [Outcome.PASS]


def test_route_gives_length_and_assumed_parts_when_it_is_known(house):
    row = row_of(house, house.ring)
    assert row.judged.metres == row.run.cable_metres > 0
    assert [part.method for part in row.judged.parts] == [Method.C, Method.C]


def test_lights_of_the_highest_storey_are_taken_to_lie_under_insulation(house):
    assert row_of(house, house.lights).judged.governing_part.method == Method.M101


def test_lights_without_lamps_told_count_100_watts_each(house):
    """On-Site Guide: at least 100 W for each lampholder (from memory)."""
    assert row_of(house, house.lights).judged.design_amps == Decimal(200) / 230


def test_floor_area_is_that_of_the_rooms_served(house):
    assert row_of(house, house.ring).judged.floor_area_m2 == 16
    house.job.rooms.update(width_metres=None)
    assert row_of(house, house.ring).judged.floor_area_m2 is None


def test_what_was_told_stands_before_what_is_assumed(house):
    design = CircuitDesign.objects.create(firm=house.firm, job=house.job, circuit_reference="R1", spurs=1, rcd_type="A")
    CircuitPart.objects.create(firm=house.firm, design=design, method="101")
    row = row_of(house, house.ring)
    assert (row.judged.spurs, row.judged.governing_part.method, row.made.assumed) == (1, Method.M101, ())


def test_ring_under_insulation_fails_for_its_capacity(house):
    """2.5 mm² by method 101 carries 17 A (Table 4D5, from memory), a ring needs 20 A (433.1.204, from memory)."""
    tried = try_on_row(row_of(house, house.ring), WhatIf(method=Method.M101))
    assert "capacity" in [check.code for check in tried.to_see]
    assert tried.suggestion.cable.live_mm2 == 4


def test_what_if_follows_the_device_where_sockets_draw_its_rating(house):
    tried = try_on_row(row_of(house, house.ring), WhatIf(rating_amps=Decimal(20), metres=Decimal(100)))
    assert (tried.judged.design_amps, tried.judged.metres) == (20, 100)


def test_supply_is_as_told_and_its_ze_is_judged(house):
    HouseSupply.objects.create(firm=house.firm, job=house.job, earthing="tn_s", ze_ohms="0.9", fuse_amps=80, board_ways=4)
    schedule = load_schedule(house.job)
    assert (schedule.supply.earthing, schedule.supply.fuse_amps) == (Earthing.TN_S, 80)
    assert {check.code: check.outcome for check in schedule.supply_checks}["ze"] == Outcome.LOOK
    assert len(schedule.board.ways) == 4
    assert not schedule.board_assumed


def test_demand_is_the_sum_after_diversity(house):
    """Ring 32 A in full and 66 % of 200 W of light (On-Site Guide's allowances)."""
    assert load_schedule(house.job).demand.amps == 32 + Decimal(200) / 230 * Decimal("0.66")


def test_circuit_without_points_cannot_be_judged_yet(house):
    empty = make_circuit(house.job, "X1", CircuitKind.RADIAL, device="RCBO 30 mA", device_rating_amps=16)
    row = row_of(house, empty)
    assert row.outcome == Outcome.UNKNOWN
    assert row.suggestion.cable is None


def test_armoured_cable_is_not_judged_by_the_table_of_flat_cable(house):
    house.ring.cable = Item.objects.get(firm=house.firm, code="cable-armoured-6-3c")
    house.ring.save()
    assert row_of(house, house.ring).judged.cable is None


def test_flat_cables_are_offered_once_a_size(house):
    sizes = [Decimal(size) for size in ("1.5", "2.5", "4", "6", "10")]
    assert [item.live_mm2 for item in list_flat_cables(house.firm.pk)] == sizes


def test_queries_do_not_grow_with_the_circuits(house):
    def count():
        with CaptureQueriesContext(connection) as found:
            [row.checks for row in load_schedule(house.job).rows]
        return len(found)

    few = count()
    for number in range(4):
        circuit = make_circuit(house.job, f"R1{number}", device_rating_amps=32)
        house.add(house.lounge, "double-socket", circuit, 2)
        CircuitDesign.objects.create(firm=house.firm, job=house.job, circuit_reference=f"R1{number}")
    assert count() <= few + 1

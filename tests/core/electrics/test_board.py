import pytest

from jobs.core.electrics.board import chart, check_spare_ways, fitting_unit, labels, lay_out
from jobs.core.electrics.checks import Outcome
from jobs.core.stages import CircuitKind
from tests.core.electrics.cast import SUPPLY, circuit, ring

HOUSE = [
    circuit(CircuitKind.LIGHTING, "1.5", reference="L1", amps=6, load=4),
    ring(reference="R2"),
    ring(reference="R1"),
    circuit(CircuitKind.SHOWER, "10", reference="SH", amps=40, load=40),
    circuit(CircuitKind.BONDING, "10", reference="B1"),
]


def test_highest_rated_sits_next_to_the_switch_and_bonding_takes_no_way():
    board = lay_out(HOUSE)

    assert [way.circuit.reference for way in board.ways if way.circuit] == ["SH", "R1", "R2", "L1"]


def test_unit_is_the_smallest_with_room_to_spare():
    board = lay_out(HOUSE)

    assert (len(board.ways), board.spare_ways, board.modules) == (6, 2, 10)
    assert (board.ways[0].left_modules, board.ways[-1].left_modules) == (4, 9)


def test_every_circuit_is_placed_when_too_few_ways_are_asked_for():
    assert lay_out(HOUSE, ways=2).spare_ways == 0
    assert len(lay_out(HOUSE, ways=2).ways) == 4


def test_no_usual_unit_fits_when_circuits_are_too_many():
    assert (fitting_unit(36), fitting_unit(40)) == (44, None)
    assert len(lay_out([ring(reference=f"R{number}") for number in range(40)]).ways) == 48


@pytest.mark.parametrize(
    ("circuits", "ways", "outcome"),
    [(10, 12, Outcome.PASS), (10, 11, Outcome.LOOK), (10, 10, Outcome.LOOK), (10, 9, Outcome.FAIL)],
)
def test_spare_ways_are_judged(circuits, ways, outcome):
    assert check_spare_ways(circuits, ways).outcome == outcome


def test_board_is_told_in_words():
    words = lay_out(HOUSE, has_surge_device=False).words

    assert words[0] == "Main switch"
    assert words[1] == "1 · SH · Circuit SH · B40, 30 mA RCD"
    assert words[-1] == "6 · spare"


def test_chart_has_limits_and_expected_reading_of_each_circuit():
    rows = chart(lay_out(HOUSE), SUPPLY)
    ring_row = rows[1]

    assert (ring_row.cable, ring_row.length_metres, ring_row.rcd) == ("2.5/1.5 mm²", "60", "30 mA, type A")
    assert (ring_row.expected_r1_r2_ohms, ring_row.limit_zs_ohms, ring_row.cold_limit_zs_ohms) == ("0.29", "1.36", "1.09")
    assert (rows[-1].name, rows[-1].limit_zs_ohms) == ("Spare", "")


def test_labels_name_every_way_and_the_test_button():
    found = labels(lay_out(HOUSE))

    assert found[0] == "1 Circuit SH"
    assert any("six months" in label for label in found)

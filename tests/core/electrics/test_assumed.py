from decimal import Decimal

import pytest

from jobs.core.electrics.assumed import Surveyed, Told, ToldPart, ZeFrom, assemble, assemble_supply
from jobs.core.electrics.cables import Method
from jobs.core.electrics.circuit import Curve, Earthing
from jobs.core.electrics.demand import LoadKind
from jobs.core.stages import CircuitKind, WallKind

RING = Surveyed(
    "R1", "Sockets", CircuitKind.RING, Decimal("2.5"), "RCBO 30 mA type A, B curve", Decimal(32), Decimal(60),
    wall_metres=Decimal(12), points=10, has_sockets=True,
)


def surveyed(**changes: object) -> Surveyed:
    return Surveyed(**(vars(RING) | changes))


def part_lengths(made) -> list:
    return [(part.metres, part.method) for part in made.circuit.parts]


def test_route_is_split_into_voids_and_walls_when_nothing_is_told() -> None:
    made = assemble(surveyed(wall=WallKind.STUD), Told())
    assert part_lengths(made) == [(48, Method.C), (12, Method.M102)]
    assert any(words.startswith("Route: 48 m by method C") for words in made.assumed)


def test_cable_lies_under_insulation_when_it_is_above_the_highest_ceiling() -> None:
    made = assemble(surveyed(kind=CircuitKind.LIGHTING, is_under_roof=True), Told())
    assert made.circuit.governing_part.method == Method.M101


def test_part_without_metres_takes_the_rest_when_parts_are_told() -> None:
    made = assemble(RING, Told(parts=(ToldPart(Decimal(5), Method.M101), ToldPart(None, Method.C)), spurs=0))
    assert part_lengths(made) == [(5, Method.M101), (55, Method.C)]
    assert made.assumed == ()


@pytest.mark.parametrize(
    ("metres", "total", "words"), [("20", 60, "40 m more than its parts"), ("70", 70, "10 m more than its length")]
)
def test_longer_of_parts_and_length_counts_when_they_differ(metres: str, total: int, words: str) -> None:
    made = assemble(RING, Told(parts=(ToldPart(Decimal(metres), Method.C),)))
    assert made.circuit.metres == total
    assert words in made.assumed[0]


def test_radial_without_sockets_draws_its_device_when_nothing_is_told() -> None:
    made = assemble(surveyed(kind=CircuitKind.RADIAL, has_sockets=False, rating_amps=Decimal(16)), Told())
    assert (made.load.kind, made.circuit.design_amps) == (LoadKind.POWER, 16)


def test_cooker_is_counted_after_diversity_when_its_power_is_assumed() -> None:
    """12 kW with socket: 27.652 A (On-Site Guide's allowance, worked by hand: 10 + 0.3 × 42.174 + 5)."""
    made = assemble(surveyed(kind=CircuitKind.COOKER), Told(has_cooker_socket=True))
    assert round(made.circuit.design_amps, 3) == Decimal("27.652")
    assert any("12000 W is assumed" in words for words in made.assumed)


def test_told_figures_stand_in_place_of_assumptions_when_given() -> None:
    told = Told(curve=Curve.C, rcd_milliamps=0, load_kind=LoadKind.POWER, load_watts=Decimal(2300), spurs=2)
    made = assemble(surveyed(device_words="RCBO"), told)
    assert (made.circuit.device.name, made.circuit.design_amps, made.circuit.spurs, made.circuit.points) == ("C32", 10, 2, 8)
    assert [words for words in made.assumed if not words.startswith("Route")] == []


def test_circuit_has_no_parts_when_no_point_hangs_on_it() -> None:
    made = assemble(surveyed(metres=Decimal(0), wall_metres=None), Told())
    assert made.circuit.parts == ()
    assert any(words.startswith("Length") for words in made.assumed)


def test_bonding_draws_nothing_when_assembled() -> None:
    made = assemble(surveyed(kind=CircuitKind.BONDING, rating_amps=None, device_words=""), Told())
    assert made.load is None
    assert made.circuit.design_amps is None


def test_supply_is_assumed_in_words_when_nobody_has_looked() -> None:
    made = assemble_supply(None, None, None)
    assert (made.supply.earthing, made.supply.ze_ohms, made.supply.fuse_amps) == (Earthing.TN_C_S, Decimal("0.35"), 60)
    assert len(made.assumed) == 3


def test_ze_goes_with_the_earthing_when_only_that_is_told() -> None:
    made = assemble_supply(Earthing.TN_S, None, Decimal(100))
    assert made.supply.ze_ohms == Decimal("0.80")
    assert len(made.assumed) == 1


def test_measured_ze_beats_the_told_one_and_the_told_one_what_is_assumed():
    made = [assemble_supply(Earthing.TN_S, told, Decimal(100), measured) for told, measured in (
        (None, None), (Decimal("0.5"), None), (Decimal("0.5"), Decimal("0.31")),
    )]
    assert [str(one.supply.ze_ohms) for one in made] == ["0.80", "0.5", "0.31"]
    assert [one.ze_from for one in made] == [ZeFrom.ASSUMED, ZeFrom.TOLD, ZeFrom.MEASURED]

import pytest

from jobs.actions.power import let_power_on
from jobs.core.handover import Part
from jobs.models import HouseSupply
from jobs.queries.handover import load_pack
from tests.factories import NOW
from tests.tested_house import TestedHouse

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def house():
    return TestedHouse()


def section(house, part: Part) -> str:
    blocks = next(one for one in load_pack(house.job, NOW).sections if one.part == part).blocks
    return " | ".join(str(block) for block in blocks)


def test_pack_shows_sockets_supply_and_who_read_them(house):
    house.send_supply(ze="0,31", pfc="1.2", supply_pol="ok")
    house.send_sockets(("0.22", "0.28"), ("0.23", "0.29"), ("0.39", "0.46"))
    readings = section(house, Part.READINGS)

    assert "'Hall, socket', '0.39 Ω', '0.46 Ω', 'look at it again'" in readings
    assert "0.46 Ω, highest of its sockets, at Hall, socket" in readings
    assert "Supply: tested by Priya on 12 January 2027 with Blue tester" in readings


def test_pack_says_which_ze_was_reckoned_with(house):
    assert "Ze 0.35 Ω (assumed)" in section(house, Part.CIRCUITS)
    HouseSupply.objects.create(firm=house.firm, job=house.job, earthing="tn_s", ze_ohms="0.70", fault_kiloamps="1.5")
    assert "Ze 0.7 Ω (as told, not measured), supply fuse 60 A, fault current 1.5 kA (as told)" in section(house, Part.CIRCUITS)
    house.send_supply(ze="0.31", pfc="1.2")

    assert "Ze 0.31 Ω (measured), supply fuse 60 A, fault current 1.2 kA (measured)" in section(house, Part.CIRCUITS)


def test_pack_gives_the_reason_when_power_was_let_on_all_the_same(house):
    let_power_on(job=house.job, keys=["supply"], reason="Temporary board", by=house.office, now=NOW)

    assert "let power on, the supply, on 12 January 2027 although this was missing or out" in section(house, Part.REASONS)
    assert "Reason: Temporary board" in section(house, Part.REASONS)

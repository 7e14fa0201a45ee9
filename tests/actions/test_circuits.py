from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.circuits import describe_circuit, describe_supply, use_what_if
from jobs.actions.permission import Refused
from jobs.actions.survey import edit_circuit
from jobs.core.electrics.assumed import WhatIf
from jobs.core.electrics.cables import Method
from jobs.core.electrics.circuit import Curve
from jobs.models import CircuitDesign, CircuitPart, HouseSupply, Item, Job
from jobs.queries.circuits import find_row, load_schedule
from tests.factories import NOW, make_crew_user, make_firm, make_office, make_person
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house():
    house = PlacedHouse()
    house.ring.device, house.ring.device_rating_amps = "RCBO 30 mA type A, B curve", 32
    house.ring.save()
    return house


def judged(house, circuit):
    return find_row(load_schedule(house.job), circuit).judged


def use(house, circuit=None, cable=None, **given):
    return use_what_if(circuit=circuit or house.ring, given=WhatIf(**given), cable=cable, by=house.office, now=NOW)


def test_supply_is_kept_once_when_it_is_described_again(house):
    for amps in (60, 100):
        describe_supply(job=house.job, details={"fuse_amps": amps, "earthing": "tn_s"}, by=house.office)
    assert [(row.fuse_amps, row.earthing) for row in HouseSupply.objects.all()] == [(100, "tn_s")]


def test_parts_replace_those_before_when_a_circuit_is_described_again(house):
    for metres in ("5", "6"):
        parts = [{"metres": Decimal(metres), "method": "101"}, {"metres": None, "method": "C", "grouped": 2}]
        describe_circuit(circuit=house.ring, details={"spurs": 1}, parts=parts, by=house.office)
    assert [(part.metres, part.method) for part in CircuitPart.objects.all()] == [(6, "101"), (None, "C")]
    assert judged(house, house.ring).spurs == 1


def test_two_parts_without_metres_are_refused_with_nothing_kept(house):
    parts = [{"metres": None, "method": "C"}] * 2
    with pytest.raises(Refused, match="Only one part"):
        describe_circuit(circuit=house.ring, details={"spurs": 1}, parts=parts, by=house.office)
    assert not CircuitDesign.objects.exists()


def test_crew_and_strangers_change_no_design(house):
    strangers = (make_crew_user(make_person(house.firm)), make_office(make_firm("Other")))
    for user in strangers:
        with pytest.raises(PermissionDenied):
            describe_circuit(circuit=house.ring, details={}, parts=[], by=user)
        with pytest.raises(PermissionDenied):
            describe_supply(job=house.job, details={}, by=user)


def test_design_of_a_house_handed_over_is_not_changed(house):
    Job.objects.update(state=Job.State.HANDED_OVER)
    with pytest.raises(Refused, match="handed over"):
        use(house, curve=Curve.C)


def test_cable_and_rating_go_into_the_survey_when_a_what_if_is_used(house):
    cable = Item.objects.get(firm=house.firm, code="cable-4-2c")
    use(house, cable=cable, live_mm2=Decimal(4), rating_amps=Decimal(20), curve=Curve.C)
    found = judged(house, house.ring)
    assert (found.cable.live_mm2, found.device.name) == (4, "C20, 30 mA RCD")


def test_method_and_grouping_hold_all_along_when_a_what_if_is_used(house):
    use(house, method=Method.M100, grouped=3)
    assert {(part.method, part.grouped) for part in judged(house, house.ring).parts} == {(Method.M100, 3)}


def test_grouping_keeps_the_assumed_methods_when_it_alone_is_used(house):
    before = judged(house, house.ring)
    use(house, grouped=2)
    after = judged(house, house.ring)
    assert [part.method for part in after.parts] == [part.method for part in before.parts]
    assert after.metres == before.metres


def test_length_is_corrected_when_a_what_if_is_used(house):
    use(house, metres=Decimal("55.5"))
    assert judged(house, house.ring).metres == Decimal("55.5")
    assert house.job.length_corrections.get().cable_metres == Decimal("55.5")


def test_empty_what_if_is_refused(house):
    with pytest.raises(Refused, match="Nothing was changed"):
        use(house)


def test_size_the_stores_do_not_hold_is_refused(house):
    with pytest.raises(Refused, match="stores hold no"):
        use(house, live_mm2=Decimal(16))


def test_design_follows_its_circuit_when_it_is_called_otherwise(house):
    describe_circuit(circuit=house.ring, details={"curve": "C"}, parts=[], by=house.office)
    edit_circuit(circuit=house.ring, details={"reference": "R9"}, by=house.office)
    assert judged(house, house.ring).device.curve == Curve.C

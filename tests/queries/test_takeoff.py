from decimal import Decimal

import pytest

from jobs.actions.programme import make_programme
from jobs.core.circuit_takeoff import Basis
from jobs.core.stages import CircuitKind, Stage
from jobs.models import Item, MaterialNeed, PointKind, RoomTask
from jobs.queries.takeoff import load_house, load_line_materials, load_takeoff
from tests.factories import make_area, make_circuit, make_firm, make_job, make_office, make_point, make_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    firm = make_firm(with_catalogue=True)
    job = make_job(firm)
    area, ring = make_area(job), make_circuit(job)
    for name, count in (("Lounge", 4), ("Bedroom", 3)):
        room = make_room(area, name)
        for _ in range(count):
            make_point(room, _kind(job, "double-socket"), ring)
    return job


def _kind(job, code):
    return PointKind.objects.get(firm=job.firm, code=code)


def test_dropped_points_are_left_out_when_a_house_is_loaded(job):
    job.points.filter(room__name="Bedroom").update(is_dropped=True)
    assert [len(room.points) for room in load_house(job).rooms] == [4, 0]


def test_hours_and_materials_add_up_when_a_takeoff_is_loaded(job):
    takeoff = load_takeoff(job)
    sockets = next(row for row in takeoff.materials if row.item.code == "plate-socket-2g")
    assert (sockets.quantity, sockets.by_stage) == (7, {Stage.SECOND_FIX: 7})
    assert takeoff.labour_hours == sum(package.labour_hours for package in takeoff.packages)


def test_cable_is_ordered_in_whole_metres_when_a_takeoff_is_loaded(job):
    (cable,) = load_takeoff(job).cables
    assert (cable.line.metres, cable.to_order) == (Decimal("60.17"), 61)


def test_length_of_a_person_counts_when_a_circuit_has_one(job):
    job.circuits.update(cable_metres=Decimal("72.5"))
    (cable,) = load_takeoff(job).cables
    assert (cable.line.metres, cable.line.basis) == (Decimal("72.5"), Basis.MEASURED)


def test_length_follows_the_route_when_rooms_stand_on_the_grid(job):
    make_point(job.rooms.get(name="Lounge"), _kind(job, "consumer-unit"))
    for number, room in enumerate(job.rooms.all()):
        size = {"length_metres": 4, "width_metres": 3, "grid_x_metres": 4 * number, "grid_y_metres": 0}
        type(room).objects.filter(pk=room.pk).update(**size)
    (cable,) = load_takeoff(job).cables
    assert (cable.line.basis, cable.line.cable) == (Basis.ROUTE, "cable-2.5-2c")


def test_remark_tells_when_points_hang_on_no_circuit(job):
    make_point(job.rooms.get(name="Lounge"), _kind(job, "double-socket"))
    assert load_takeoff(job).remarks == ("Lounge: Double socket × 1 on no circuit, so no cable is counted for it.",)


def test_queries_stay_flat_when_a_house_has_more_points(job, django_assert_max_num_queries):
    make_circuit(job, "L1", CircuitKind.LIGHTING)
    for room in job.rooms.all():
        for _ in range(10):
            make_point(room, _kind(job, "ceiling-light"), job.circuits.get(reference="L1"))
    with django_assert_max_num_queries(13):
        load_takeoff(job)


def test_lines_take_together_what_their_package_needs_when_all_are_done(job):
    make_programme(job=job, by=make_office(job.firm))
    taken = {}
    for task in RoomTask.objects.filter(package__job=job):
        for item, quantity in load_line_materials(task).items():
            taken[task.package_id, item] = taken.get((task.package_id, item), 0) + quantity
    needs = MaterialNeed.objects.filter(package__job=job)
    assert taken == {(need.package_id, need.item_id): need.quantity for need in needs}


def test_line_takes_its_part_when_points_were_added_after_a_tick(job):
    make_programme(job=job, by=make_office(job.firm))
    lounge = job.rooms.get(name="Lounge")
    RoomTask.objects.filter(room=lounge, code="point:double-socket").update(done_share=1)
    make_point(lounge, _kind(job, "double-socket"), job.circuits.get())
    make_programme(job=job, by=make_office(job.firm))
    later = RoomTask.objects.get(room=lounge, code="point:double-socket:2", package__stage=Stage.SECOND_FIX)
    plate = Item.objects.get(firm=job.firm, code="plate-socket-2g")
    assert load_line_materials(later)[plate.pk] == 1

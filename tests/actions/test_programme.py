from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.actions.permission import Refused
from jobs.actions.programme import correct_hours, limit_package, make_programme
from jobs.core.stages import CircuitKind, FloorKind, RoomKind, Stage, Trade
from jobs.models import Dependency, MaterialNeed, Point, PointKind, RoomTask, Visit, WorkPackage
from tests.factories import (
    make_area,
    make_circuit,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_point,
    make_room,
)

pytestmark = pytest.mark.django_db


class House:
    """A small surveyed house: a ground floor with board and lounge, a first floor with a bedroom, a loft."""

    def __init__(self, **job_fields):
        self.firm = make_firm(with_catalogue=True)
        self.office = make_office(self.firm)
        self.job = make_job(self.firm, "Mill Lane", **job_fields)
        self.ground = make_area(self.job, "Ground floor", position=1)
        self.first = make_area(self.job, "First floor", level=1, position=2)
        self.ring = make_circuit(self.job, "R1", CircuitKind.RING)
        self.lights = make_circuit(self.job, "L1", CircuitKind.LIGHTING)
        self.hall = make_room(self.ground, "Hall", RoomKind.HALL)
        self.lounge = make_room(self.ground, "Lounge", RoomKind.LOUNGE, floor_kind=FloorKind.SOLID)
        self.bedroom = make_room(self.first, "Bedroom", RoomKind.BEDROOM)
        self.add(self.hall, "consumer-unit")
        self.add(self.lounge, "double-socket", self.ring, 4)
        self.add(self.bedroom, "double-socket", self.ring, 3)
        self.add(self.bedroom, "ceiling-light", self.lights)

    def add(self, room, kind, circuit=None, count=1):
        kind = PointKind.objects.get(firm=self.firm, code=kind)
        return [make_point(room, kind, circuit) for _ in range(count)]

    def make(self):
        make_programme(job=self.job, by=self.office)

    def package(self, area, stage):
        return WorkPackage.objects.get(area=area, stage=stage)

    def line(self, room, code, stage=Stage.FIRST_FIX):
        return RoomTask.objects.get(room=room, code=code, package__stage=stage)


@pytest.fixture
def house(db):
    return House()


def test_every_worked_stage_of_an_area_has_a_package_when_made(house):
    house.make()
    stages = house.job.packages.filter(area=house.first).values_list("stage", flat=True)
    assert set(stages) == {Stage.STRIP_OUT, Stage.FIRST_FIX, Stage.SECOND_FIX}


def test_one_test_package_stands_in_the_boards_area_when_made(house):
    house.make()
    test = house.job.packages.get(stage=Stage.TEST)
    assert test.area == house.ground
    assert set(test.tasks.values_list("room", flat=True)) == {house.hall.pk, house.lounge.pk, house.bedroom.pk}


def test_lines_weigh_exactly_the_packages_labour_when_made(house):
    house.make()
    for package in house.job.packages.prefetch_related("tasks"):
        assert sum(task.labour_hours for task in package.tasks.all()) == package.labour_hours > 0


def test_tick_stays_when_made_again(house):
    house.make()
    line = house.line(house.lounge, "point:double-socket")
    RoomTask.objects.filter(pk=line.pk).update(done_share=1)
    house.make()
    again = house.line(house.lounge, "point:double-socket")
    assert (again.pk, again.uid, again.done_share) == (line.pk, line.uid, 1)


def test_nothing_changes_when_made_twice(house):
    house.make()
    tables = (WorkPackage, RoomTask, Visit, Dependency)
    before = [list(table.objects.order_by("pk").values()) for table in tables]
    house.make()
    assert [list(table.objects.order_by("pk").values()) for table in tables] == before


def test_added_points_get_a_line_of_their_own_when_the_first_was_ticked(house):
    house.make()
    RoomTask.objects.filter(room=house.lounge, code="point:double-socket").update(done_share=1)
    house.add(house.lounge, "double-socket", house.ring, 2)
    house.make()
    assert house.line(house.lounge, "point:double-socket").point_count == 4
    later = house.line(house.lounge, "point:double-socket:2")
    assert (later.point_count, later.done_share, later.text) == (2, 0, "Double socket × 2")


def test_line_grows_when_points_are_added_before_a_tick(house):
    house.make()
    house.add(house.lounge, "double-socket", house.ring, 2)
    house.make()
    assert house.line(house.lounge, "point:double-socket").point_count == 6


def test_line_is_withdrawn_when_its_points_are_dropped(house):
    house.make()
    RoomTask.objects.filter(room=house.bedroom, code="point:ceiling-light").update(done_share=1)
    Point.objects.filter(room=house.bedroom, kind__code="ceiling-light").update(is_dropped=True)
    house.make()
    line = house.line(house.bedroom, "point:ceiling-light")
    assert line.is_withdrawn
    assert (line.labour_hours, line.done_share) == (0, 1)


def test_room_takes_its_ticks_along_when_it_moves_to_another_area(house):
    house.make()
    line = house.line(house.lounge, "point:double-socket")
    RoomTask.objects.filter(pk=line.pk).update(done_share=1)
    house.lounge.area = house.first
    house.lounge.save()
    house.make()
    line.refresh_from_db()
    assert (line.package.area, line.done_share, line.is_withdrawn) == (house.first, 1, False)


def test_test_package_follows_when_the_board_moves(house):
    house.make()
    test = house.job.packages.get(stage=Stage.TEST)
    Point.objects.filter(kind__code="consumer-unit").update(room=house.bedroom)
    house.make()
    assert house.job.packages.get(stage=Stage.TEST) == test
    assert house.job.packages.get(stage=Stage.TEST).area == house.first


def test_corrected_hours_stay_when_made_again(house):
    house.make()
    package = house.package(house.ground, Stage.FIRST_FIX)
    correct_hours(package=package, labour_hours=Decimal("12.5"), by=house.office)
    house.make()
    package.refresh_from_db()
    assert package.corrected_hours == Decimal("12.5")


def test_negative_hours_are_refused_when_corrected(house):
    house.make()
    with pytest.raises(Refused, match="between 0"):
        correct_hours(package=house.package(house.ground, Stage.FIRST_FIX), labour_hours=Decimal(-1), by=house.office)


def limit(house, by=None, **limits: object) -> WorkPackage:
    wanted = {"not_before_on": date(2027, 3, 1), "most_people": 1, "must_close_same_day": False} | limits
    package = house.package(house.first, Stage.FIRST_FIX)
    limit_package(package=package, **wanted, by=by or house.office)
    return package


def test_limits_stay_when_the_programme_is_made_again():
    house = House(is_occupied=True)
    house.make()
    package = limit(house)
    house.make()
    package.refresh_from_db()
    assert (package.not_before_on, package.most_people) == (date(2027, 3, 1), 1)
    assert (package.must_close_same_day, package.closes_same_day) == (True, False)


def test_survey_decides_again_when_the_own_choice_is_taken_back():
    house = House(is_occupied=True)
    house.make()
    limit(house)
    assert limit(house, must_close_same_day=None).closes_same_day


@pytest.mark.parametrize("most_people", [0, 13])
def test_limits_are_refused_when_nobody_or_a_crowd_may_work(house, most_people):
    house.make()
    with pytest.raises(Refused, match="Between 1 and 12 people"):
        limit(house, most_people=most_people)


def test_limits_are_refused_when_another_firm_asks(house):
    house.make()
    with pytest.raises(PermissionDenied):
        limit(house, by=make_office(make_firm("Other")))


def test_package_goes_when_its_area_has_no_work_left(house):
    house.make()
    house.bedroom.delete()
    house.make()
    assert not house.job.packages.filter(area=house.first).exists()


def test_package_stays_at_no_hours_when_somebody_worked_on_it(house):
    house.make()
    RoomTask.objects.filter(room=house.lounge).update(done_share=1)
    house.hall.area = house.first
    house.hall.save()
    house.lounge.points.all().delete()
    RoomTask.objects.filter(room=house.lounge, package__stage=Stage.SECOND_FIX).update(done_share=1)
    house.make()
    package = house.package(house.ground, Stage.SECOND_FIX)
    assert package.labour_hours == 0
    assert set(package.tasks.values_list("is_withdrawn", flat=True)) == {True}


def test_needs_hold_the_circuits_cable_when_made(house):
    house.make()
    needs = MaterialNeed.objects.filter(package__job=house.job, item__code="cable-2.5-2c")
    # Ring of 7: 2 × 6 + 6 × 4.5 run, 14 × 0.45 drops, 2 × 1.6 legs, 14 × 0.3 slack, 2 × 1.0 at the board, 10 % waste.
    assert sum(need.quantity for need in needs) == Decimal("60.17")
    assert needs.count() == 2


def test_needs_follow_when_points_are_dropped(house):
    house.make()
    Point.objects.filter(room=house.bedroom, kind__code="double-socket").update(is_dropped=True)
    house.make()
    needs = MaterialNeed.objects.filter(package__area=house.first, item__code="plate-socket-2g")
    assert not needs.exists()


def test_boards_are_open_at_first_fix_when_floors_are_timber(house):
    house.make()
    assert house.package(house.first, Stage.FIRST_FIX).has_boards_open
    assert not house.package(house.first, Stage.SECOND_FIX).has_boards_open


def test_small_first_fix_closes_the_same_day_when_people_live_there():
    house = House(is_occupied=True)
    house.make()
    small = house.package(house.first, Stage.FIRST_FIX)
    assert (small.labour_hours, small.must_close_same_day) == (Decimal("7.02"), True)
    assert not house.package(house.first, Stage.SECOND_FIX).must_close_same_day


def test_large_first_fix_takes_more_than_a_day_when_people_live_there():
    house = House(is_occupied=True)
    house.add(house.bedroom, "double-socket", house.ring, 3)
    house.make()
    assert not house.package(house.first, Stage.FIRST_FIX).must_close_same_day


def test_plasterer_comes_to_every_plastered_area_when_made(house):
    loft = make_area(house.job, "Loft", position=3)
    house.add(make_room(loft, "Loft", RoomKind.LOFT), "batten-light", house.lights)
    house.make()
    areas = house.job.visits.filter(kind__code="plasterer").values_list("area", flat=True)
    assert set(areas) == {house.ground.pk, house.first.pk}


def test_operator_comes_to_the_boards_area_when_made(house):
    house.make()
    assert house.job.visits.get(kind__code="isolator").area == house.ground


def test_second_fix_waits_for_the_plaster_of_its_own_area_when_made(house):
    house.make()
    waits = house.job.dependencies.filter(after_package=house.package(house.first, Stage.SECOND_FIX), lag_days__gt=0)
    wait = waits.get()
    assert (wait.before_visit.area, wait.lag_days) == (house.first, 14)


def test_plaster_waits_longer_when_the_house_is_cold(house):
    house.make()
    house.job.is_cold_or_damp = True
    house.job.save()
    house.make()
    lags = house.job.dependencies.filter(before_visit__kind__code="plasterer").values_list("lag_days", flat=True)
    assert set(lags) == {28}


def test_visit_knows_who_came_before_when_one_of_the_trade_did(house):
    house.make()
    contact = make_contact(house.firm, Trade.PLASTERER)
    house.job.visits.filter(kind__code="plasterer", area=house.ground).update(contact=contact)
    house.job.visits.filter(kind__code="plasterer", area=house.first).delete()
    house.make()
    assert house.job.visits.get(kind__code="plasterer", area=house.first).contact == contact


def test_sentence_says_what_to_do_when_there_are_no_rooms():
    firm = make_firm(with_catalogue=True)
    with pytest.raises(Refused, match="Add rooms"):
        make_programme(job=make_job(firm), by=make_office(firm))


def test_sentence_names_the_plaster_when_the_drying_table_has_not_got_it():
    house = House(plaster_system="porridge")
    with pytest.raises(Refused, match="porridge"):
        house.make()
    assert not WorkPackage.objects.filter(job=house.job).exists()


def test_queries_stay_flat_when_the_house_is_larger(house):
    with CaptureQueriesContext(connection) as small:
        house.make()
    for number in range(20):
        room = make_room(house.first, f"Room {number}")
        house.add(room, "double-socket", house.ring, 3)
        house.add(room, "switch-one-way", house.lights)
    with CaptureQueriesContext(connection) as large:
        house.make()
    # SQLite takes long inserts in pieces; nothing else may grow.
    pieces = [query for query in large if "INSERT" in query["sql"][:10]]
    assert len(large) - len(pieces) <= len(small)
    assert len(large) < 70

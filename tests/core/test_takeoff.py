from decimal import Decimal as D

import pytest

from jobs.core.catalogue import Catalogue, Norm, PointKind, Recipe, norm_hours
from jobs.core.point_materials import list_point_materials
from jobs.core.stages import CircuitKind, FloorKind, RoomKind, Stage, WallKind
from jobs.core.takeoff import CircuitSurvey, HouseSurvey, PointSurvey, RoomSurvey, list_tasks, sum_hours, sum_materials

FIX, STRIP = Stage.FIRST_FIX, Stage.STRIP_OUT
MASONRY = Norm("point", FIX, "Socket", D("1.20"), "socket", wall=WallKind.MASONRY)
STUD = Norm("point", FIX, "Socket", D("0.55"), "socket", wall=WallKind.STUD)
OUT = Norm("room", STRIP, "Strip out", D("2"))
BOARDS = Norm("room", FIX, "Lift boards", D("1.1"), floor=FloorKind.TIMBER)
KINDS = {"socket": PointKind("socket", "Socket"), "consumer-unit": PointKind("consumer-unit", "Board", 0)}


def _room(key=1, area=10, points=(), **fields):
    return RoomSurvey(key, area, f"Room {key}", points=tuple(PointSurvey(kind) for kind in points), **fields)


def _hours(room, *norms, **house):
    return {task.code: task.hours for task in list_tasks(HouseSurvey((room,), **house), Catalogue(KINDS, norms=norms))}


def _norm(*norms, room_kind=RoomKind.BEDROOM, wall=WallKind.MASONRY, floor=FloorKind.TIMBER):
    return norm_hours(norms, room_kind=room_kind, wall=wall, floor=floor)


@pytest.mark.parametrize(("wall", "hours"), [("masonry", "1.20"), ("stud", "0.55"), ("lath", "1.38")])
def test_hours_follow_the_wall_when_a_socket_is_first_fixed(wall, hours):
    assert _norm(MASONRY, STUD, wall=WallKind(wall)) == D(hours)


def test_own_lath_norm_counts_without_the_factor_when_the_firm_has_one():
    assert _norm(MASONRY, Norm("point", FIX, "Socket", D(2), "socket", wall=WallKind.LATH), wall=WallKind.LATH) == 2


def test_kitchen_takes_half_as_long_again_when_stripped_out():
    assert _norm(OUT, room_kind=RoomKind.KITCHEN) == 3


def test_kitchens_own_norm_counts_without_the_factor_when_the_firm_has_one():
    own = Norm("room", STRIP, "Strip out", D(4), room_kind=RoomKind.KITCHEN)
    assert _norm(OUT, own, room_kind=RoomKind.KITCHEN) == 4


def test_nothing_is_worked_when_no_norm_fits():
    assert _norm(BOARDS, floor=FloorKind.SOLID) == 0


def test_points_of_a_kind_are_one_task_when_a_room_has_several():
    tasks = list_tasks(HouseSurvey((_room(points=["socket"] * 3),)), Catalogue(KINDS, norms=(MASONRY,)))
    assert [(task.code, task.count, task.hours) for task in tasks] == [("point:socket", 3, D("3.60"))]


def test_every_hour_is_stretched_when_people_live_there():
    room = _room(points=["socket"])
    assert _hours(room, MASONRY, OUT, is_occupied=True) == {"point:socket": D("1.56"), "room:strip-out": D("2.60")}


def test_boards_are_lifted_when_the_floor_is_timber():
    assert _hours(_room(), BOARDS) == {"room:lift-boards": D("1.10")}
    assert _hours(_room(floor=FloorKind.SOLID), BOARDS) == {}


def test_circuits_are_tested_at_the_board_when_it_is_upstairs():
    rooms = (_room(1, 10, ["socket"]), _room(2, 20, ["consumer-unit"]))
    circuits = (CircuitSurvey("R1", "Sockets", CircuitKind.RING),)
    norms = (Norm("circuit", Stage.TEST, "Test circuit", D("0.5")), Norm("job", Stage.TEST, "Certificate", D(3)))
    tasks = list_tasks(HouseSurvey(rooms, circuits), Catalogue(KINDS, norms=norms))
    assert sum_hours(tasks) == {(20, Stage.TEST): D("3.50")}
    assert tasks[0].text == "Test circuit R1 Sockets"


def test_board_is_the_room_of_that_kind_when_no_unit_is_surveyed():
    house = HouseSurvey((_room(1, 10), _room(2, 20, kind=RoomKind.BOARD)))
    assert house.board_room.key == 2


def test_masonrys_recipe_counts_when_lath_has_none():
    recipes = (
        Recipe("socket", FIX, "steel-box", D(1), WallKind.MASONRY),
        Recipe("socket", FIX, "dry-box", D(1), WallKind.STUD),
        Recipe("socket", FIX, "grommet", D(2)),
    )
    house = HouseSurvey((_room(points=["socket"] * 2, wall=WallKind.LATH),))
    needs = sum_materials(list_point_materials(house, Catalogue(KINDS, recipes)))
    assert needs == {(10, FIX, "steel-box"): 2, (10, FIX, "grommet"): 4}


def test_task_stands_without_hours_when_points_only_take_material():
    catalogue = Catalogue(KINDS, (Recipe("socket", FIX, "grommet", D(2)),))
    assert [task.hours for task in list_tasks(HouseSurvey((_room(points=["socket"]),)), catalogue)] == [0]

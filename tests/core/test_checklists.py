from decimal import Decimal as D

from hypothesis import given
from hypothesis import strategies as st

from jobs.core.checklists import Check, Line, base_code, checks_for, list_lines, spread_line, weigh
from jobs.core.stages import RoomKind, Stage
from jobs.core.takeoff import HouseSurvey, PointSurvey, RoomSurvey, Task

FIX = Stage.FIRST_FIX
CHECKS = [
    Check("F1", FIX, "Marked"),
    Check("FK1", FIX, "Clear of the sink", RoomKind.KITCHEN),
    Check("F2", FIX, "Photos", is_hold_point=True),
    Check("T1", Stage.TEST, "Polarity"),
]
KITCHEN = RoomSurvey(1, 10, "Kitchen", RoomKind.KITCHEN, points=(PointSurvey("socket"),))
PANTRY = RoomSurvey(2, 10, "Pantry", RoomKind.OTHER)
HOUSE = HouseSurvey((KITCHEN, PANTRY))
SOCKETS = Task(10, 1, FIX, "point:socket", "Socket", D("3.00"), "socket", 3)


def _line(code, hours=0, point_kind="", count=0):
    return Line(10, 1, FIX, code, code, D(str(hours)), point_kind, count)


def test_common_checks_come_first_when_a_kind_of_room_has_extra_ones():
    assert [check.code for check in checks_for(CHECKS, FIX, RoomKind.KITCHEN)] == ["F1", "F2", "FK1"]


def test_room_has_no_checks_when_nothing_is_worked_in_it():
    assert {line.room for line in list_lines(HOUSE, [SOCKETS], CHECKS)} == {1}


def test_rooms_with_points_are_checked_at_the_test_when_the_house_is_tested():
    test = Task(10, 2, Stage.TEST, "circuit:test:R1", "Test R1", D(1))
    lines = list_lines(HOUSE, [SOCKETS, test], CHECKS)
    assert {line.room for line in lines if line.code == "check:T1"} == {1, 2}


def test_count_is_in_the_words_when_a_line_stands_for_several_points():
    assert list_lines(HOUSE, [SOCKETS], CHECKS)[0].text == "Socket × 3"


def test_checks_share_a_twentieth_when_there_is_work():
    hours = {line.code: line.hours for line in list_lines(HOUSE, [SOCKETS], CHECKS)}
    assert hours == {"point:socket": D("2.85"), "check:F1": D("0.05"), "check:F2": D("0.05"), "check:FK1": D("0.05")}


def test_work_takes_everything_when_there_are_no_checks():
    assert [line.hours for line in weigh([_line("room:a", 1), _line("room:b", 2)])] == [1, 2]


@given(st.lists(st.decimals(0, 40, places=2), max_size=12), st.integers(0, 15))
def test_weights_add_up_to_the_labour_when_weighed(hours, checks):
    lines = [_line(f"room:{number}", each) for number, each in enumerate(hours)]
    lines += [_line(f"check:{number}") for number in range(checks)]
    assert sum(line.hours for line in weigh(lines)) == sum(hours)


def test_line_takes_all_points_when_nobody_started():
    spread = spread_line(_line("point:s", 6, "s", 6), {"point:s": 4}, set())
    assert [(line.code, line.count, line.hours) for line in spread] == [("point:s", 6, 6)]


def test_new_line_takes_the_added_points_when_the_first_was_started():
    spread = spread_line(_line("point:s", 6, "s", 6), {"point:s": 4}, {"point:s"})
    assert [(line.code, line.count, line.hours) for line in spread] == [("point:s", 4, 4), ("point:s:2", 2, 2)]


def test_unstarted_line_grows_when_another_was_started():
    spread = spread_line(_line("point:s", 7, "s", 7), {"point:s": 4, "point:s:2": 2}, {"point:s"})
    assert [(line.code, line.count) for line in spread] == [("point:s", 4), ("point:s:2", 3)]


def test_started_line_shrinks_when_points_were_dropped():
    spread = spread_line(_line("point:s", 3, "s", 3), {"point:s": 4}, {"point:s"})
    assert [(line.code, line.count) for line in spread] == [("point:s", 3)]


def test_later_lines_belong_to_the_first_when_codes_are_compared():
    assert base_code("point:s:2") == "point:s"
    assert base_code("circuit:test:R1") == "circuit:test:R1"

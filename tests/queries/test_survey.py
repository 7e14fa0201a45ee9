import pytest

from jobs.models import Notice, RoomTask, ToldDate
from jobs.queries.survey import find_obstacle, find_told, list_group, load_draft, load_survey
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_circuit,
    make_contact,
    make_job,
    make_package,
    make_point,
    make_point_kind,
    make_room,
    make_visit,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(firm):
    return make_job(firm)


@pytest.fixture
def room(job):
    return make_room(make_area(job), "Hall")


@pytest.fixture
def socket(firm):
    return make_point_kind(firm, "socket")


def test_equal_points_of_a_room_are_one_group(room, socket):
    for label in ("Left", "Left", "Right"):
        make_point(room, socket, label=label)
    groups = load_survey(room.job).rooms[0].groups
    assert [(group.label, group.quantity) for group in groups] == [("Left", 2), ("Right", 1)]


def test_dropped_points_are_left_out(room, socket):
    make_point(room, socket, is_dropped=True)
    assert load_survey(room.job).point_count == 0


def test_circuits_carry_the_number_of_their_points(room, socket):
    make_point(room, socket, make_circuit(room.job))
    assert [circuit.point_count for circuit in load_survey(room.job).circuits] == [1]


def test_another_job_s_survey_is_left_out(firm, room, socket):
    make_point(make_room(make_area(make_job(firm))), socket)
    assert load_survey(room.job).point_count == 0


def test_a_point_s_group_holds_its_equals_alone(room, socket):
    point, equal = make_point(room, socket), make_point(room, socket)
    make_point(room, socket, height_mm=450)
    make_point(make_room(room.area), socket)
    assert list(list_group(point)) == [point, equal]


def test_a_large_group_is_written_in_rows_a_file_may_hold(room, socket):
    for _ in range(203):
        make_point(room, socket)
    assert [points.quantity for points in load_draft(room.job).points] == [200, 3]


def test_areas_keep_their_order_in_the_draft(job):
    make_area(job, "First floor", position=2)
    make_area(job, "Cellar", position=1)
    assert [area.name for area in load_draft(job).areas] == ["Cellar", "First floor"]


def add_line(room, **fields: object) -> None:
    RoomTask.objects.create(
        firm_id=room.firm_id, package=make_package(room.area), room=room, code="X", text="Boxes", **fields
    )


def test_nothing_is_in_the_way_of_a_file_while_nothing_was_done_or_told(job, room):
    add_line(room)
    make_visit(job)
    assert find_obstacle(job) == ""


@pytest.mark.parametrize("done", [{"done_share": 0.5}, {"not_needed": "No boxes"}])
def test_a_marked_line_is_in_the_way_of_a_file(job, room, done):
    add_line(room, **done)
    assert "“Boxes” in Hall" in find_obstacle(job)


def tell(visit, starts_on) -> None:
    notice = Notice.objects.create(
        firm=visit.firm, contact=visit.contact, kind="new", subject="Dates", message_id=f"{visit.pk}-{starts_on}", made_at=NOW
    )
    ToldDate.objects.create(firm=visit.firm, notice=notice, visit=visit, starts_on=starts_on, told_at=NOW)


def test_a_cancelled_visit_counts_until_the_trade_heard_of_it(firm, job):
    visit = make_visit(job, make_contact(firm), state="cancelled")
    tell(visit, TODAY)
    assert find_told(job.visits.all()) == visit
    tell(visit, None)
    assert find_told(job.visits.all()) is None


def test_a_cancelled_visit_says_how_the_trade_will_hear_of_it(firm, job):
    tell(make_visit(job, make_contact(firm, name="Otto"), state="cancelled"), TODAY)
    assert "Issue a plan first" in find_obstacle(job)

import pytest

from jobs.core.stages import Stage
from jobs.models import Photo, RoomTask
from jobs.queries.centres import CENTRES_LINE
from jobs.queries.hold_points import list_missing, list_missing_centres, list_unseen_rooms, load_awaiting
from tests.factories import (
    make_area,
    make_firm,
    make_job,
    make_package,
    make_point,
    make_point_kind,
    make_room,
    make_visit,
    make_visit_kind,
)
from tests.rows import Rows

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return make_job(make_firm())


@pytest.fixture
def upstairs(job):
    return make_area(job, "Upstairs")


def make_plasterer(job, area=None, *, covers_up: bool = True):
    return make_visit(job, kind=make_visit_kind(job.firm, covers_up=covers_up), area=area)


def hold(area, text: str, stage: str = Stage.FIRST_FIX, **fields: object) -> RoomTask:
    package = area.packages.filter(stage=stage).first() or make_package(area, stage)
    room = area.rooms.first() or make_room(area)
    fields.setdefault("is_hold_point", True)
    return RoomTask.objects.create(firm=area.firm, package=package, room=room, code=text, text=text, **fields)


def test_unrecorded_hold_points_of_the_area_are_missing(job, upstairs):
    hold(upstairs, "Dead tests done")
    hold(make_area(job, "Loft"), "Photos")
    assert [task.text for task in list_missing(make_plasterer(job, upstairs))] == ["Dead tests done"]


def test_hold_points_of_the_whole_house_are_missing_when_the_visit_has_no_area(job, upstairs):
    hold(upstairs, "Dead tests done")
    hold(make_area(job, "Loft", position=1), "Photos")
    assert [task.text for task in list_missing(make_plasterer(job))] == ["Dead tests done", "Photos"]


@pytest.mark.parametrize(
    "fields",
    [{"done_share": 1}, {"not_needed": "No ceiling here"}, {"is_withdrawn": True}, {"is_hold_point": False}],
    ids=str,
)
def test_line_is_not_missing_when_it_holds_nothing_up(job, upstairs, fields):
    hold(upstairs, "Dead tests done", **fields)
    assert not list_missing(make_plasterer(job, upstairs))


def test_tests_after_cover_up_are_not_asked_for_before_it(job, upstairs):
    hold(upstairs, "Insulation resistance", Stage.TEST)
    assert not list_missing(make_plasterer(job, upstairs))


def test_nothing_is_missing_when_a_visit_covers_nothing(job, upstairs):
    hold(upstairs, "Dead tests done")
    assert not list_missing(make_plasterer(job, upstairs, covers_up=False))


def test_visit_awaits_its_go_ahead_when_a_hold_point_is_open(job, upstairs):
    hold(upstairs, "Photos", done_share=1)
    hold(upstairs, "Dead tests done")
    visit = make_plasterer(job, upstairs)
    assert load_awaiting([visit]) == {visit.pk}


def test_visit_awaits_nothing_when_all_its_areas_are_recorded(job, upstairs):
    hold(upstairs, "Photos", done_share=1)
    assert load_awaiting([make_plasterer(job, upstairs), make_plasterer(job)]) == set()


def test_visit_awaits_its_go_ahead_when_another_area_is_open(job, upstairs):
    hold(upstairs, "Photos", done_share=1)
    hold(make_area(job, "Loft"), "Photos")
    upper, whole = make_plasterer(job, upstairs), make_plasterer(job)
    assert load_awaiting([upper, whole]) == {whole.pk}


def test_visit_awaits_its_go_ahead_when_nobody_has_laid_out_hold_points(job, upstairs):
    visit = make_plasterer(job, upstairs)
    assert load_awaiting([visit]) == {visit.pk}


def test_five_queries_are_enough_when_many_visits_are_judged(job, upstairs, django_assert_num_queries):
    hold(upstairs, "Photos", done_share=1)
    visits = [make_plasterer(job, upstairs) for _ in range(5)]
    with django_assert_num_queries(5):
        load_awaiting(visits)


def make_downlight(area, **fields: object):
    kind = make_point_kind(area.firm, name="Downlight", is_ceiling=True)
    return make_point(area.rooms.get(), kind, **fields)


def test_visit_awaits_its_go_ahead_when_a_ceiling_point_is_not_measured(job, upstairs):
    hold(upstairs, "Photos", done_share=1)
    point = make_downlight(upstairs)
    visit = make_plasterer(job, upstairs)

    assert load_awaiting([visit]) == {visit.pk}
    assert list(list_missing_centres(visit)) == [point]


def test_dropped_point_is_not_missing_when_nobody_measured_it(job, upstairs):
    hold(upstairs, "Photos", done_share=1)
    make_downlight(upstairs, is_dropped=True)
    assert load_awaiting([make_plasterer(job, upstairs)]) == set()


def test_centres_are_not_missing_when_their_line_is_not_needed_in_the_room(job, upstairs):
    hold(upstairs, CENTRES_LINE, done_share=1, not_needed="Ceiling stays up")
    make_downlight(upstairs)
    assert load_awaiting([make_plasterer(job, upstairs)]) == set()


def test_centres_of_another_area_are_not_missing(job, upstairs):
    hold(upstairs, "Photos", done_share=1)
    loft = make_area(job, "Loft")
    make_room(loft)
    make_downlight(loft)
    assert load_awaiting([make_plasterer(job, upstairs)]) == set()


def test_room_is_unseen_when_its_photos_were_ticked_and_none_is_stored(job, upstairs):
    task = hold(upstairs, CENTRES_LINE, done_share=1)
    visit = make_plasterer(job, upstairs)
    assert list(list_unseen_rooms(visit)) == [task.room]
    assert load_awaiting([visit]) == {visit.pk}


def test_room_is_seen_when_a_photo_of_first_fix_is_stored(job, upstairs):
    rows = Rows(job.firm)
    task = hold(upstairs, CENTRES_LINE, done_share=1)
    Photo.objects.filter(pk=rows[Photo].pk).update(room=task.room, stage=Stage.FIRST_FIX)
    visit = make_plasterer(job, upstairs)
    assert (list(list_unseen_rooms(visit)), load_awaiting([visit])) == ([], set())


def test_room_needs_no_photo_when_the_line_is_not_needed(job, upstairs):
    hold(upstairs, CENTRES_LINE, done_share=1, not_needed="Nothing is covered here")
    assert not list_unseen_rooms(make_plasterer(job, upstairs)).exists()

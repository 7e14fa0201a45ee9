from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.models import RoomTask
from jobs.queries.progress import Progress, load_progress, total
from tests.factories import NOW, make_area, make_firm, make_job, make_package, make_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    return make_room(make_area(make_job(make_firm())))


@pytest.fixture
def package(room):
    return make_package(room.area)


def add_line(package, room, code: str, hours: float = 0, done: float = 0, **fields: object) -> RoomTask:
    return RoomTask.objects.create(
        firm_id=room.firm_id, package=package, room=room, code=code, text=code, labour_hours=hours, done_share=done, **fields
    )


def load(package) -> Progress:
    return load_progress(RoomTask.objects.filter(package=package), "package_id")[(package.pk,)]


def test_hours_weigh_where_lines_have_them(package, room):
    add_line(package, room, "big", 3, done=1)
    add_line(package, room, "small", 1)
    assert load(package).percent == 75


def test_lines_weigh_where_none_has_hours(package, room):
    add_line(package, room, "first", done=1)
    add_line(package, room, "second")
    assert load(package).percent == 50


def test_a_line_that_is_not_needed_counts_as_done(package, room):
    add_line(package, room, "fan", 2, not_needed="Window opens")
    assert load(package).is_done


def test_withdrawn_lines_count_for_nothing(package, room):
    add_line(package, room, "wanted", 2, done=1)
    add_line(package, room, "gone", 2, is_withdrawn=True)
    assert (load(package).lines, load(package).is_done) == (1, True)


def test_a_hundred_per_cent_is_reached_only_by_the_last_line(package, room):
    add_line(package, room, "work", 8, done=1)
    add_line(package, room, "check")
    assert (load(package).share, load(package).percent) == (1, 99)


def test_the_first_and_last_tick_are_known(package, room):
    add_line(package, room, "first", done=1, done_at=NOW)
    add_line(package, room, "last", done=0.5, done_at=NOW + timedelta(days=2))
    assert (load(package).first_at, load(package).last_at) == (NOW, NOW + timedelta(days=2))


def test_parts_add_up():
    parts = [Progress(Decimal(3), Decimal(3), 1, 1, NOW, NOW), Progress(Decimal(1), Decimal(0), 1, 0)]
    assert total(parts) == Progress(Decimal(4), Decimal(3), 2, 1, NOW, NOW)


def test_nothing_is_neither_begun_nor_done():
    assert (Progress().percent, Progress().is_begun, Progress().is_done) == (0, False, False)

import uuid

import pytest
from django.core.exceptions import PermissionDenied

from jobs import outbox, tasks
from jobs.actions.operations import apply_operation
from jobs.actions.photos import keep_photo
from jobs.actions.pictures import read_picture
from jobs.models import Job, OutboxEntry, Photo, RoomTask, SiteOperation
from tests.factories import (
    NOW,
    make_area,
    make_crew_user,
    make_firm,
    make_job,
    make_package,
    make_person,
    make_point,
    make_point_kind,
    make_room,
)
from tests.pictures import make_picture

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def crew(firm):
    return make_crew_user(make_person(firm, "Priya"))


@pytest.fixture
def room(firm):
    return make_room(make_area(make_job(firm, state=Job.State.ON_SITE)), "Kitchen")


def send(user, room, picture: bytes | None, op_id: str = "", **value: str):
    details = {"stage": "first_fix", "surface": "A", "point": "", "words": ""} | value
    body = {
        "op_id": op_id or str(uuid.uuid4()), "kind": "photo", "item": str(room.uid), "value": details,
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }
    return apply_operation(user=user, body=body, now=NOW, picture=picture)


def test_photo_is_kept_by_room_wall_and_stage(crew, room):
    assert send(crew, room, make_picture()).status == 200

    photo = Photo.objects.get()
    assert (photo.room, photo.surface, photo.stage, photo.made_by) == (room, "A", "first_fix", crew)
    assert photo.image.read().startswith(b"\xff\xd8")


def test_same_bytes_in_a_room_are_one_photo(crew, room):
    for _ in range(2):
        assert send(crew, room, make_picture()).status == 200

    assert Photo.objects.count() == 1


def test_operation_is_a_duplicate_when_sent_again_and_bad_with_another_picture(crew, room):
    op_id = str(uuid.uuid4())
    send(crew, room, make_picture(), op_id)

    assert send(crew, room, make_picture(), op_id).result == "duplicate"
    assert send(crew, room, make_picture(shade=10), op_id).status == 422


@pytest.mark.parametrize("picture", [None, b"", b"<html>"], ids=["none", "empty", "page"])
def test_operation_is_bad_when_no_picture_came(crew, room, picture):
    assert send(crew, room, picture).status == 422
    assert not SiteOperation.objects.exists()


def test_photo_shows_a_point_of_its_room(crew, room):
    point = make_point(room, make_point_kind(room.firm))

    send(crew, room, make_picture(), point=str(point.uid))

    assert Photo.objects.get().point == point


def test_photo_is_refused_when_its_point_is_in_another_room(crew, room):
    point = make_point(make_room(room.area), make_point_kind(room.firm))

    assert send(crew, room, make_picture(), point=str(point.uid)).status == 409
    assert not Photo.objects.exists()


def test_hold_point_stays_open_until_somebody_ticks_it(crew, room):
    task = RoomTask.objects.create(
        firm=room.firm, package=make_package(room.area), room=room, code="check:F8", text="Photos", is_hold_point=True
    )

    send(crew, room, make_picture())

    task.refresh_from_db()
    assert not task.is_done


def test_thumbnail_is_drawn_in_the_background_once(crew, room):
    send(crew, room, make_picture(800, 600))
    entry = OutboxEntry.objects.get(task="make_thumbnail")

    outbox.run_due(NOW)
    tasks.make_thumbnail(**entry.payload)

    photo = Photo.objects.get()
    assert 0 < photo.thumbnail.size < photo.image.size


def test_photo_of_another_firms_room_is_not_kept(room):
    stranger = make_crew_user(make_person(make_firm("Other")))
    details = {"stage": "first_fix", "surface": "", "point": "", "words": ""}

    assert send(stranger, room, make_picture()).status == 422
    with pytest.raises(PermissionDenied):
        keep_photo(
            room=room, details=details, picture=read_picture(make_picture()), uid=uuid.uuid4(), by=stranger, at=NOW
        )

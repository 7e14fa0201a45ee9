import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.jobs import hand_over
from jobs.actions.operations import apply_operation
from jobs.actions.permission import Refused
from jobs.actions.programme import make_programme
from jobs.actions.snags import add_snag
from jobs.core.stages import Stage
from jobs.models import Job, Photo, PointKind, RoomTask, Snag, WorkPackage
from jobs.queries.progress import load_progress
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_circuit,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_point,
    make_room,
)
from tests.pictures import make_picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def crew(firm):
    return make_crew_user(make_person(firm))


@pytest.fixture
def room(firm):
    return make_room(make_area(make_job(firm, state=Job.State.ON_SITE)), "Kitchen")


def snag(room, by, stage: str = Stage.SECOND_FIX, hours: str = "1.5") -> Snag:
    return add_snag(room=room, stage=stage, words="Plate crooked", labour_hours=Decimal(hours), by=by, at=NOW)


def tick(task: RoomTask) -> None:
    RoomTask.objects.filter(pk=task.pk).update(done_share=1)


def test_snag_adds_a_line_and_its_hours_to_the_package_of_its_stage(room, crew):
    package = make_package(room.area, Stage.SECOND_FIX, 8)

    task = snag(room, crew).task

    package.refresh_from_db()
    assert (task.package, task.room, task.code[:5]) == (package, room, "snag:")
    assert package.labour_hours == Decimal("9.5")


def test_snag_adds_to_the_contractors_own_figure_too(room, crew):
    package = make_package(room.area, Stage.SECOND_FIX, 8, corrected_hours=6)

    snag(room, crew)

    package.refresh_from_db()
    assert package.corrected_hours == Decimal("7.5")


def test_snag_waits_for_the_next_open_stage_when_its_own_is_finished(room, crew):
    make_package(room.area, Stage.FIRST_FIX, finished_at=NOW)
    later = make_package(room.area, Stage.SECOND_FIX)

    assert snag(room, crew, Stage.FIRST_FIX).task.package == later


def test_finished_package_opens_again_when_no_later_one_is_open(room, crew):
    package = make_package(room.area, Stage.SECOND_FIX, finished_at=NOW)

    snag(room, crew)

    package.refresh_from_db()
    assert package.finished_at is None


def test_package_is_made_when_the_area_has_none(room, crew):
    assert snag(room, crew).task.package.labour_hours == Decimal("1.5")


def test_test_snag_goes_to_the_one_test_of_the_house(room, crew):
    elsewhere = make_package(make_area(room.job, "Cellar"), Stage.TEST)

    assert snag(room, crew, Stage.TEST).task.package == elsewhere


def test_snag_is_settled_when_its_line_is_ticked_by_phone(room, crew):
    task = snag(room, crew).task
    body = {
        "op_id": str(uuid.uuid4()), "kind": "tick", "item": str(task.uid), "value": {},
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }

    assert apply_operation(user=crew, body=body, now=NOW).status == 200
    task.package.refresh_from_db()
    assert task.package.finished_at == NOW


def send(user, room, picture: bytes | None = None):
    body = {
        "op_id": str(uuid.uuid4()), "kind": "snag", "item": str(room.uid),
        "value": {"stage": "second_fix", "hours": "0.5", "words": "Plate crooked"},
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }
    for _ in range(2):
        answer = apply_operation(user=user, body=body, now=NOW, picture=picture)
    return answer


def test_snag_from_a_phone_is_added_once_with_its_picture(room, crew, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path

    assert send(crew, room, make_picture()).result == "duplicate"
    assert Snag.objects.get().photo == Photo.objects.get()


def test_snag_of_another_firms_room_is_bad(room):
    assert send(make_crew_user(make_person(make_firm("Other"))), room).status == 422


@pytest.fixture
def surveyed():
    """A house with a real programme."""
    firm = make_firm("Surveyed", with_catalogue=True)
    room = make_room(make_area(make_job(firm, state=Job.State.ON_SITE)))
    make_point(room, PointKind.objects.get(firm=firm, code="double-socket"), make_circuit(room.job))
    make_programme(job=room.job, by=make_office(firm))
    return room


def test_snag_stays_with_its_hours_when_the_programme_is_made_again(surveyed):
    office = make_office(surveyed.firm)
    task = snag(surveyed, office).task
    before = WorkPackage.objects.get(pk=task.package_id).labour_hours

    make_programme(job=surveyed.job, by=office)

    task.refresh_from_db()
    assert (task.is_withdrawn, task.labour_hours) == (False, Decimal("1.5"))
    assert WorkPackage.objects.get(pk=task.package_id).labour_hours == before


def test_snag_follows_its_room_to_another_area_once(surveyed):
    office = make_office(surveyed.firm)
    snag(surveyed, office)
    surveyed.area = make_area(surveyed.job, "Upstairs")
    surveyed.save()

    make_programme(job=surveyed.job, by=office)

    task = RoomTask.objects.get(code__startswith="snag:")
    assert (task.package.area, task.is_withdrawn) == (surveyed.area, False)


def test_open_snag_is_labour_left(room, crew):
    snag(room, crew)

    assert load_progress(RoomTask.objects.filter(room=room), "room")[room.pk,].hours_left == Decimal("1.5")


def test_job_is_not_handed_over_with_an_open_snag_unless_a_reason_is_kept(room, office):
    snag(room, office)
    with pytest.raises(Refused, match="Plate crooked"):
        hand_over(job=room.job, finished_on=TODAY, today=TODAY, by=office)

    job = hand_over(job=room.job, finished_on=TODAY, today=TODAY, by=office, open_snags_reason="Plate is on order")

    assert job.open_snags_reason == "Plate is on order (Olwen; Plate crooked)"


def test_no_reason_is_kept_when_every_snag_is_put_right(room, office):
    tick(snag(room, office).task)

    assert hand_over(job=room.job, finished_on=TODAY, today=TODAY, by=office, open_snags_reason="x").open_snags_reason == ""


@pytest.mark.parametrize("hours", ["0", "0.1", "81"])
def test_snag_is_refused_when_its_hours_make_no_sense(room, office, hours):
    with pytest.raises(Refused):
        snag(room, office, hours=hours)


def test_snag_is_refused_when_the_job_is_closed(room, office):
    room.job.state = Job.State.HANDED_OVER

    with pytest.raises(Refused, match="closed"):
        snag(room, office)


def test_snag_of_another_firm_is_refused(room):
    with pytest.raises(PermissionDenied):
        snag(room, make_office(make_firm("Other")))

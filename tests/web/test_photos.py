import json
import uuid
from io import BytesIO
from zipfile import ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from jobs.actions.photos import keep_photo
from jobs.actions.pictures import read_picture
from jobs.models import Job, Photo
from tests.factories import make_area, make_crew_user, make_firm, make_job, make_office, make_package, make_person, make_room
from tests.pictures import make_picture

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def room(firm):
    area = make_area(make_job(firm, state=Job.State.ON_SITE))
    make_package(area)
    return make_room(area, "../Kitchen: <1>")


@pytest.fixture
def phone(client, firm):
    client.force_login(make_crew_user(make_person(firm, "Priya")))
    return client


@pytest.fixture
def office(client, firm):
    client.force_login(make_office(firm), backend="django.contrib.auth.backends.ModelBackend")
    return client


def keep(room, shade: int = 120) -> Photo:
    details = {"stage": "first_fix", "surface": "A", "point": "", "words": "tape in shot"}
    picture = read_picture(make_picture(shade=shade))
    return keep_photo(
        room=room, details=details, picture=picture, uid=uuid.uuid4(), by=make_office(room.firm), at=timezone.now()
    )


def upload(name: str = "IMG.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, make_picture(), "image/jpeg")


def fields(room, **more: object) -> dict[str, object]:
    form = {"op_id": str(uuid.uuid4()), "kind": "photo", "item": str(room.uid), "stage": "first_fix", "surface": "B"}
    return form | {"point": "", "words": ""} | more


def test_photo_is_taken_without_scripts_whatever_its_file_is_called(phone, room):
    # OWASP ASVS 5.0, 5.3.2
    phone.post(reverse("record_in_room", args=[room.pk]), fields(room, picture=upload("../../x.html")))

    assert Photo.objects.get().image.name == f"photos/{room.firm_id}/{Photo.objects.get().sha256}.jpg"


def test_form_answers_with_a_sentence_when_the_file_is_no_picture(phone, room):
    form = fields(room, picture=SimpleUploadedFile("x.jpg", b"<html>"))

    response = phone.post(reverse("record_in_room", args=[room.pk]), form, follow=True)

    assert "not a picture" in response.content.decode()
    assert not Photo.objects.exists()


def send(phone, room, picture, **changes: object):
    moment = timezone.now().isoformat()
    value = {"stage": "first_fix", "surface": "ceiling", "point": "", "words": ""}
    operation = {"op_id": str(uuid.uuid4()), "kind": "photo", "item": str(room.uid), "value": value, "device_at": moment}
    return phone.post(
        reverse("sync_photo"), {"operation": json.dumps(operation), "sent_at": moment, "picture": picture} | changes
    )


def test_phone_sends_a_photo_and_is_acknowledged(phone, room):
    answer = send(phone, room, upload()).json()["answers"][0]

    assert (answer["status"], answer["ack"]) == (200, str(Photo.objects.get().uid))


@pytest.mark.parametrize(
    ("changes", "status"), [({"operation": "{"}, 422), ({"picture": SimpleUploadedFile("x", b"x" * 11_000_000)}, 413)]
)
def test_sending_is_refused_as_a_whole_when_it_is_of_another_form(phone, room, changes, status):
    assert send(phone, room, **{"picture": upload()} | changes).status_code == status
    assert not Photo.objects.exists()


def test_photo_is_shown_to_the_firm_and_read_as_nothing_else(phone, room):
    # OWASP ASVS 5.0, 3.4.4, 5.4.1
    response = phone.get(reverse("photo", args=[keep(room).pk]))

    assert (response["Content-Type"], response["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert 'filename="photo-' in response["Content-Disposition"]


@pytest.mark.parametrize("name", ["photo", "thumbnail"])
def test_photo_is_refused_when_another_site_asks_for_it(phone, room, name):
    # OWASP ASVS 5.0, 3.5.8
    assert phone.get(reverse(name, args=[keep(room).pk]), HTTP_SEC_FETCH_SITE="cross-site").status_code == 403


@pytest.mark.parametrize("name", ["photo", "thumbnail"])
def test_photo_of_another_firm_is_not_found(phone, name):
    theirs = keep(make_room(make_area(make_job(make_firm("Other")))))

    assert phone.get(reverse(name, args=[theirs.pk])).status_code == 404


def test_photo_is_not_found_when_its_file_is_gone(phone, room):
    photo = keep(room)
    photo.image.delete(save=False)

    assert phone.get(reverse("photo", args=[photo.pk])).status_code == 404


def test_archive_holds_every_photo_in_a_folder_of_its_room(office, room):
    # OWASP ASVS 5.0, 5.3.2; the zip file module reads it back
    keep(room), keep(room, shade=10)

    response = office.get(reverse("job_photos", args=[room.job_id]))

    archive = ZipFile(BytesIO(response.getvalue()))
    folder = f"Kitchen 1 {room.pk}"
    assert archive.namelist() == [f"{folder}/First fix 001 wall A.jpg", f"{folder}/First fix 002 wall A.jpg"]
    assert archive.testzip() is None


def test_archive_is_for_the_office_alone(phone, room):
    assert phone.get(reverse("job_photos", args=[room.job_id])).status_code == 302


def test_job_page_and_room_page_show_photos(office, room):
    photo = keep(room)

    for address in (reverse("job", args=[room.job_id]), reverse("site_room", args=[room.pk])):
        page = office.get(address).content.decode()
        assert reverse("thumbnail", args=[photo.pk]) in page

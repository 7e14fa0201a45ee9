"""What is recorded on site without scripts, and what the pages say of it."""

import re
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import Photo, SiteOperation
from tests.factories import (
    make_point,
    make_point_kind,
    make_room,
)
from tests.pictures import make_picture
from tests.web.site.pages import book, make_task, room_page, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def downlight(area):
    room = make_room(area, "Lounge", length_metres="4.00", width_metres="3.00")
    return make_point(room, make_point_kind(area.firm, name="Downlight", is_ceiling=True))


def record(phone, room, kind: str, item, **value: object):
    form = {"op_id": str(uuid.uuid4()), "kind": kind, "item": str(item)} | value
    return phone.post(reverse("record_in_room", args=[room.pk]), form, follow=True)


def measure(phone, point, from_1_mm: object = 1200):
    return record(phone, point.room, "measure", point.uid, wall_1="A", from_1_mm=from_1_mm, wall_2="D", from_2_mm=850)


def test_centre_is_recorded_without_scripts(phone, downlight):
    assert "1200 mm from wall A, 850 mm from wall D" in text(measure(phone, downlight))


def test_odd_centre_is_answered_with_a_sentence_and_changes_nothing(phone, downlight):
    assert "lies between 0 and 30000" in text(measure(phone, downlight, 10**9))
    assert not SiteOperation.objects.exists()


def test_room_page_lists_what_is_missing_before_cover_up(phone, room, package):
    make_task(package, room, "check:F8", "Photos of each wall", is_hold_point=True)

    page = room_page(phone, room)
    assert re.search(r"missing before cover-up</h2></summary> <ul><li data-needs=[^>]*>Photos of each wall", page)


def test_list_of_what_is_missing_lies_open_when_nothing_else_is_left(phone, room, package):
    make_task(package, room, "check:F8", "Photos of each wall", is_hold_point=True)
    assert "data-missing open" in room_page(phone, room)

    make_task(package, room, "check:F1", "Joists drilled in the middle")

    assert "data-missing open" not in room_page(phone, room)


def test_room_says_which_centres_and_walls_are_missing_until_they_are_recorded(phone, downlight, package):
    make_task(package, downlight.room, "check:F8", "Photos", is_hold_point=True)
    assert "No photo yet of <span data-unseen=\"A\">wall A</span>" in room_page(phone, downlight.room)
    assert "Centre not measured: 1 " in room_page(phone, downlight.room)

    measure(phone, downlight)

    assert "Centre not measured" not in room_page(phone, downlight.room)


def test_room_sheet_draws_each_centre_and_leads_back_to_the_room(phone, downlight):
    measure(phone, downlight)

    sheet = text(phone.get(reverse("room_sheet", args=[downlight.room_id])))

    assert 'cx="850" cy="1200"' in sheet
    assert "wall A: 1200 mm" in sheet
    assert "data:image/svg+xml" in sheet


def test_room_sheet_says_so_when_a_centre_lies_outside_the_room(phone, downlight):
    measure(phone, downlight, 3100)

    sheet = text(phone.get(reverse("room_sheet", args=[downlight.room_id])))

    assert "No. 1 lies outside the room" in sheet
    assert "<circle" not in sheet


def test_room_sheet_has_a_table_without_a_sketch_when_the_size_is_not_known(phone, downlight):
    downlight.room.length_metres = None
    downlight.room.save()

    sheet = text(phone.get(reverse("room_sheet", args=[downlight.room_id])))

    assert "does not say how large" in sheet
    assert "not measured yet" in sheet


def test_each_of_several_pictures_is_a_photo_without_scripts(phone, room):
    pictures = [SimpleUploadedFile(f"{width}.png", make_picture(width, 30)) for width in (40, 50)]

    record(phone, room, "photo", room.uid, stage="first_fix", surface="", point="", words="", picture=pictures)

    assert sorted(Photo.objects.values_list("width_px", flat=True)) == [40, 50]


def test_snag_is_recorded_without_scripts_and_has_its_line(phone, room, package):
    page = text(record(phone, room, "snag", room.uid, stage="first_fix", hours="1.5", words="Box loose", picture=""))

    assert "Snags (<span data-count=\"1\">1</span>)" in page
    assert '<span class="tick-text">Box loose</span>' in page


def test_hours_are_recorded_without_scripts_and_show_again(phone, plan, person, package, task):
    book(plan, person, package)
    form = {"op_id": str(uuid.uuid4()), "kind": "hours", "item": str(package.uid), "hours": "7.5"}

    page = text(phone.post(reverse("record_on_job", args=[package.job_id]), form, follow=True))

    assert 'required value="7.50"' in page


def test_point_found_is_reported_without_scripts(phone, room):
    make_point_kind(room.firm, "double-socket", name="Double socket")

    page = text(record(
        phone, room, "found", room.uid, point_kind="double-socket", quantity="1", circuit="", label="", height_mm="", words=""
    ))

    assert "Double socket × 1" in page
    assert "waits for the office" in page


def test_use_is_recorded_without_scripts_or_answered_with_a_sentence(phone, package):
    form = {"op_id": str(uuid.uuid4()), "kind": "used", "item": str(package.uid), "drum": "D9"}
    form |= {"start_mark": "1", "end_mark": "2"}

    page = text(phone.post(reverse("record_on_job", args=[package.job_id]), form, follow=True))

    assert "There is no drum D9 in the books" in page


def test_line_shows_the_steps_its_tick_stands_for(phone, room, package):
    make_task(package, room, "check:S3", "Isolated, locked off and proved dead", is_hold_point=True)

    page = room_page(phone, room)

    assert "Prove the tester on a known source." in page
    assert "Regulations 1989, regulations 13 and 14" in page


def test_joist_page_reports_both_rules_with_their_sources(phone):
    given = {"what": "notch", "span_mm": 4000, "depth_mm": 200, "size_mm": 30, "place_mm": 600}

    page = text(phone.get(reverse("joists"), given))

    assert re.search("Outside the limits of this rule</h2> <p>LABC", page)
    assert re.search("Within the limits of this rule</h2> <p>NHBC", page)


@pytest.mark.parametrize("odd", [{"span_mm": "x"}, {"depth_mm": "1e9"}, {"place_mm": 5000}, {"what": "saw"}])
def test_joist_page_says_what_is_wrong_with_odd_figures(phone, odd):
    given = {"what": "hole", "span_mm": 4000, "depth_mm": 200, "size_mm": 30, "place_mm": 600} | odd

    assert "errorlist" in text(phone.get(reverse("joists"), given))

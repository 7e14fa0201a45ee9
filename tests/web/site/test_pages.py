"""The pages on site, as they are read and pressed without scripts."""

import gzip
import re
import uuid
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from jobs.actions.devices import make_sign_in
from jobs.core import stages
from jobs.models import SiteOperation, Span
from tests.factories import (
    make_area,
    make_circuit,
    make_contact,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_plan,
    make_point,
    make_point_kind,
    make_room,
    make_visit,
)
from tests.web.site.pages import book, make_task, room_page, text, today_page

pytestmark = pytest.mark.django_db


def test_today_says_so_when_nothing_is_booked(phone):
    assert "Nothing is booked for you today" in today_page(phone)


def test_today_shows_the_booked_job_with_its_rooms(phone, plan, person, package, task):
    book(plan, person, package)

    page = today_page(phone)

    assert "Mill Cottage" in page
    assert "1 Weir Lane" in page
    assert "0 of 1 lines" in page


def test_today_ignores_a_draft_that_nobody_was_told(phone, firm, person, package, task):
    book(make_plan(firm), person, package)

    assert "Nothing is booked for you today" in today_page(phone)


def test_today_leaves_out_jobs_of_colleagues(phone, firm, plan, person, package, task):
    other = make_package(make_area(make_job(firm, "Orchard House")))
    book(plan, person, package)
    book(plan, make_person(firm, "Sam"), other)

    assert "Orchard House" not in today_page(phone)


def test_office_sees_every_booked_job(client, firm, plan, person, package, task):
    client.force_login(make_office(firm))
    book(plan, person, package)

    assert "Mill Cottage" in today_page(client)


def test_today_shows_the_next_booked_day(phone, plan, person, package, task):
    book(plan, person, package, days=3)

    page = today_page(phone)

    assert "Nothing is booked for you today" in page
    assert "Next:" in page


def test_today_names_colleagues_and_trades_in_the_house(phone, firm, plan, person, package, task):
    book(plan, person, package)
    book(plan, make_person(firm, "Sam", phone="07700 900123"), package, "pm")
    today = timezone.localdate()
    visit = make_visit(package.job, make_contact(firm, stages.Trade.PLUMBER, "Pat Pipe"))
    Span.objects.create(
        firm=firm, plan=plan, visit=visit, starts_on=today, ends_on=today, starts_half="am", ends_half="pm"
    )

    page = today_page(phone)

    assert "afternoon: First fix, Ground floor" in page
    assert "tel:07700900123" in page
    assert "Pat Pipe" in page


def test_today_warns_when_someone_under_18_is_there(phone, firm, plan, person, package, task):
    book(plan, person, package)
    book(plan, make_person(firm, "Kit", born_on=timezone.localdate() - timedelta(days=17 * 365)), package)

    assert "someone under 18 is here" in today_page(phone)


def test_today_warns_when_on_ones_own(phone, plan, person, package, task):
    book(plan, person, package)

    assert "on your own today" in today_page(phone)


def test_today_warns_of_asbestos_when_stripping_out(phone, plan, person, area, room):
    package = make_package(area, stages.Stage.STRIP_OUT)
    make_task(package, room)
    book(plan, person, package)

    assert "asbestos" in today_page(phone)


def test_today_warns_of_open_boards_when_a_package_is_begun(phone, plan, person, area, room):
    package = make_package(area, has_boards_open=True)
    make_task(package, room, done_share="0.5")
    book(plan, person, package)

    assert "Floorboards are up: Ground floor" in today_page(phone)


def test_job_page_lists_rooms_and_circuits(phone, area, task):
    make_circuit(area.job, "R7")

    page = text(phone.get(reverse("site_job", args=[area.job_id])))

    assert "Kitchen" in page
    assert "R7" in page


def test_room_page_shows_lines_points_and_hours_left(phone, room, task):
    make_point(room, make_point_kind(room.firm, name="Twin socket"), make_circuit(room.job, "R7"), height_mm=450)

    page = room_page(phone, room)

    assert "Sockets × 4" in page
    assert "Twin socket" in page
    assert "450 mm" in page
    assert ">4</span> h left" in page


def test_hours_follow_the_contractors_own_figure_when_there_is_one(phone, room, package, task):
    package.labour_hours, package.corrected_hours = 4, 6
    package.save()

    assert ">6</span> h left" in room_page(phone, room)


def test_room_page_says_how_many_hold_points_are_open(phone, room, package):
    make_task(package, room, "check:F8", "Photos", is_hold_point=True)

    assert ">1</b> still to be recorded" in room_page(phone, room)


def test_room_page_says_so_when_there_is_nothing_to_tick(phone, room):
    assert "nothing to tick" in room_page(phone, room)


def test_withdrawn_lines_are_not_shown(phone, room, package, task):
    make_task(package, room, "lights", "Old light", is_withdrawn=True)

    assert "Old light" not in room_page(phone, room)


@pytest.mark.parametrize("name", [
    "site_room", "site_job", "site_cuts", "mark_line", "room_sheet", "record_in_room", "record_on_job",
])
def test_rows_of_another_firm_are_not_found(phone, name):
    area = make_area(make_job(make_firm("Other")))
    room = make_room(area)
    of_job = dict.fromkeys(("site_job", "site_cuts", "record_on_job"), area.job_id)
    pk = {"mark_line": make_task(make_package(area), room).pk, **of_job}.get(name, room.pk)
    ask = phone.post if name in {"mark_line", "record_in_room", "record_on_job"} else phone.get

    assert ask(reverse(name, args=[pk])).status_code == 404


@pytest.mark.parametrize("name", ["today", "site_room"])
def test_stranger_is_led_to_the_sign_in_page(client, room, name):
    response = client.get(reverse(name, args=[room.pk] if name == "site_room" else []))

    assert response.url.startswith(reverse("sign_in"))


def mark(phone, task, **fields):
    form = {"op_id": str(uuid.uuid4()), "kind": "tick", "replaces": ""} | fields
    return phone.post(reverse("mark_line", args=[task.pk]), form, follow=True)


def test_tick_works_without_scripts(phone, task):
    page = text(mark(phone, task))

    task.refresh_from_db()
    assert task.is_done
    assert "done by Priya" in page


def test_pressing_twice_counts_once_without_scripts(phone, task):
    op_id = str(uuid.uuid4())
    mark(phone, task, op_id=op_id)

    mark(phone, task, op_id=op_id)

    assert SiteOperation.objects.count() == 1


def test_part_done_and_not_needed_work_without_scripts(phone, task):
    assert "25 % done" in text(mark(phone, task, share="0.25"))
    seen = str(SiteOperation.objects.get().op_id)

    assert "not needed: Boxed in" in text(mark(phone, task, kind="not_needed", reason="Boxed in", replaces=seen))


@pytest.mark.parametrize("odd", [{"op_id": "1"}, {"kind": "demolish"}, {"share": "1e9"}, {"replaces": "x y"}])
def test_odd_form_is_answered_with_a_sentence_and_changes_nothing(phone, task, odd):
    response = mark(phone, task, **odd)

    assert response.status_code == 200
    assert 'class="note is-bad"' in text(response)
    assert not SiteOperation.objects.exists()


def test_texts_are_shown_and_never_run(phone, package, room):
    # OWASP ASVS 5.0, 1.2.1
    make_task(package, room, text="<script>alert(1)</script>")

    assert "<script>alert" not in room_page(phone, room)


def test_page_names_its_reader_when_a_phone_may_keep_it(client, firm, person):
    code = make_sign_in(person=person, by=make_office(firm), now=timezone.now()).code
    client.post(reverse("sign_in_with_code"), {"code": code})

    response = client.get(reverse("today"))

    assert response["X-Rewire-User"] == str(person.user.pk)
    assert reverse("worker") in text(response)


def test_page_is_not_kept_when_somebody_signed_in_with_a_password(client, firm):
    client.force_login(make_office(firm))

    response = client.get(reverse("today"))

    assert "X-Rewire-User" not in response
    assert reverse("worker") not in text(response)


def test_page_is_not_stored_on_the_way(phone):
    # OWASP ASVS 5.0, 14.3.2
    assert "no-store" in phone.get(reverse("today"))["Cache-Control"]


def test_number_of_queries_does_not_grow_with_rooms_and_lines(
    phone, plan, person, area, package, django_assert_max_num_queries
):
    for number in range(12):
        room = make_room(area, f"Room {number}")
        for line in range(10):
            make_task(package, room, f"line{line}")
    book(plan, person, package)

    with django_assert_max_num_queries(18):
        phone.get(reverse("today"))
    with django_assert_max_num_queries(20):
        phone.get(reverse("site_room", args=[room.pk]))


def test_first_load_of_a_full_room_is_at_most_60_kilobytes_gzipped(phone, package, room):
    for number in range(25):
        make_task(package, room, f"line{number}", f"Fix the twin socket number {number} to the long wall")
    page = phone.get(reverse("site_room", args=[room.pk])).content

    static = Path(settings.BASE_DIR) / "jobs" / "static"
    linked = re.findall(rb'(?:src|href)="/static/([^"]+)"', page)
    parts = [page, *((static / name.decode()).read_bytes() for name in set(linked))]

    assert len(linked) >= 4
    assert sum(len(gzip.compress(part)) for part in parts) <= 60_000

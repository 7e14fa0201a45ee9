from datetime import date, timedelta
from decimal import Decimal

import pytest

from jobs.core.slots import Slot
from jobs.core.stages import Half
from jobs.models import Dependency, Job, MaterialNeed, RoomTask, Span, Visit
from jobs.queries.job_page import load_job_page
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_item,
    make_job,
    make_location,
    make_move,
    make_package,
    make_plan,
    make_room,
    make_visit,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(firm):
    return make_job(firm, state=Job.State.BOOKED)


@pytest.fixture
def area(job):
    return make_area(job)


@pytest.fixture
def plan(firm):
    return make_plan(firm)


def put(plan, first: date, last: date, **what: object) -> None:
    Span.objects.create(
        firm=plan.firm, plan=plan, starts_on=first, starts_half="am", ends_on=last, ends_half="pm", **what
    )


def wait(before, after, **fields: object) -> None:
    ends = {
        f"{end}_{'visit' if isinstance(row, Visit) else 'package'}": row for end, row in (("before", before), ("after", after))
    }
    Dependency.objects.create(firm=before.firm, job=before.job, **ends, **fields)


def test_own_hours_stand_in_for_the_take_off_in_what_is_left(job, area):
    package = make_package(area, labour_hours=16, corrected_hours=10)
    room = make_room(area)
    for code, done in (("a", 1), ("b", 0)):
        RoomTask.objects.create(
            firm=job.firm, package=package, room=room, code=code, text=code, labour_hours=8, done_share=done
        )
    assert load_job_page(job, None, NOW).hours_left == Decimal(5)


def test_packages_come_in_the_order_of_work(job, area):
    for stage in ("test", "first_fix", "strip_out"):
        make_package(area, stage)
    assert [row.package.stage for row in load_job_page(job, None, NOW).packages] == ["strip_out", "first_fix", "test"]


def test_plaster_dries_from_the_day_after_until_second_fix_may_start(job, area, plan):
    """Fourteen elapsed days after Friday 15 January end on Friday 29 January, when second fix may start."""
    visit, package = make_visit(job, area=area), make_package(area, "second_fix")
    put(plan, date(2027, 1, 14), date(2027, 1, 15), visit=visit)
    wait(visit, package, lag_days=14)
    (bar,) = load_job_page(job, plan, NOW).bars
    assert (bar.stage, bar.slot) == (
        "plaster_wait", Slot(date(2027, 1, 16), Half.MORNING, date(2027, 1, 28), Half.AFTERNOON)
    )


def test_a_dropped_visit_is_told_last_and_not_drawn(job, area, plan):
    gone, kept = make_visit(job, area=area, state="cancelled"), make_visit(job, area=area)
    for visit in (gone, kept):
        put(plan, TODAY, TODAY, visit=visit)
    page = load_job_page(job, plan, NOW)
    assert [row.visit for row in page.visits] == [kept, gone]
    assert len(page.marks) == 1


def test_the_strip_s_lines_follow_areas_then_days(job, area, plan):
    upstairs = make_area(job, "First floor", position=9)
    put(plan, TODAY, TODAY, package=make_package(upstairs))
    put(plan, TODAY + timedelta(days=3), TODAY + timedelta(days=4), package=make_package(area, "second_fix"))
    put(plan, TODAY, TODAY, package=make_package(area))
    put(plan, TODAY, TODAY, visit=make_visit(job))
    lines = load_job_page(job, plan, NOW).strip_lines
    assert [line.lane for line in lines] == ["Ground floor", "Ground floor", "First floor", "Whole house"]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "to end"),
        ({"lag_days": 1}, "to end, and then 1 day"),
        ({"lag_days": 14, "lag_sessions": 2}, "to end, and then 14 days and 2 half days of work"),
        ({"kind": "start_start"}, "to start"),
        ({"kind": "inside"}, "to be under way"),
    ],
)
def test_a_wait_is_told_in_words(job, area, fields, words):
    wait(make_package(area), make_package(area, "second_fix"), **fields)
    (told,) = load_job_page(job, None, NOW).waits
    assert (told.after, told.before, told.how) == ("Second fix, Ground floor", "First fix, Ground floor", words)


def test_a_wait_is_over_when_what_it_waits_for_is_done(job, area):
    wait(make_visit(job, state="done", starts_on=TODAY), make_package(area))
    assert load_job_page(job, None, NOW).past_waits


def test_needs_are_set_against_what_the_firm_has(firm, job, area):
    item = make_item(firm)
    MaterialNeed.objects.create(firm=firm, package=make_package(area), item=item, quantity=5)
    supplier, unit = make_location(firm, "supplier"), make_location(firm, "unit")
    make_move(item, supplier, unit, pieces=2)
    (row,) = load_job_page(job, None, NOW).needs
    assert (row.quantity, row.still, row.on_hand) == (5, 5, 2)
    assert [short.quantity for short in row.shortages] == [3]


def test_a_room_s_current_stage_is_the_first_with_something_to_tick(job, area):
    room = make_room(area)
    for stage, done in (("strip_out", 1), ("first_fix", 0), ("second_fix", 0)):
        RoomTask.objects.create(
            firm=job.firm, package=make_package(area, stage), room=room, code=stage, text=stage, done_share=done
        )
    (row,) = load_job_page(job, None, NOW).areas[0].rooms
    assert row.current[0] == "First fix"

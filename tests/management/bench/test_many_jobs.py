from datetime import date, timedelta

import pytest
from django.db import Error

from jobs.management.bench.many_jobs import copy_job, hand_over_copy, rows_of
from jobs.models import Area, Booking, Firm, Item, Job, Plan, Room, RoomTask, Span
from tests.factories import NOW, TODAY, make_firm, make_person, make_plan, make_room
from tests.planning import book, make_working_firm, span

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def job():
    """A booked house with a room, a line to tick and a first fix planned for Tuesday."""
    job = make_working_firm()
    package = job.packages.first()
    RoomTask.objects.create(firm=job.firm, package=package, room=make_room(package.area), code="x", text="x")
    plan = make_plan(job.firm, Plan.State.ISSUED)
    book(plan, make_person(job.firm), package, TODAY)
    span(plan, package, TODAY)
    return job


def test_jobs_are_alike_and_of_one_firm_when_one_is_copied(job):
    copy_job(job, 1, 3)
    assert (Job.objects.count(), Room.objects.count(), RoomTask.objects.count(), Firm.objects.count()) == (4, 4, 4, 1)
    assert {room.job_id for room in Room.objects.all()} == set(Job.objects.values_list("pk", flat=True))


def test_each_copy_is_booked_a_week_later_when_days_are_given(job):
    copy_job(job, 1, 2, days=7)
    weeks = {TODAY + timedelta(days=7 * number) for number in range(3)}
    assert set(Booking.objects.values_list("on", flat=True)) == set(Span.objects.values_list("starts_on", flat=True)) == weeks


def test_nothing_is_left_to_do_or_planned_when_a_copy_is_over(job):
    over = hand_over_copy(job, 1, on=date(2026, 5, 1), at=NOW)
    assert (over.state, Booking.objects.count()) == (Job.State.HANDED_OVER, 1)
    assert all(task.is_done for task in RoomTask.objects.filter(package__job=over))


def test_what_the_firm_shares_is_not_a_jobs_own(job):
    assert {Item, Plan} & set(rows_of(job)) == set()


def test_walls_stand_again_when_a_job_was_copied(job):
    copy_job(job, 1, 1)
    foreign = make_firm("Another firm")
    with pytest.raises(Error, match="another firm"):
        Area.objects.filter(job=job).update(firm=foreign)

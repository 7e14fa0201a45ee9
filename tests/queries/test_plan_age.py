"""What a plan does not know of yet."""

from datetime import timedelta

import pytest

from jobs.models import RoomTask
from jobs.queries.plan_age import list_news
from tests.factories import NOW, make_area, make_firm, make_job, make_package, make_plan, make_room, make_visit

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def job():
    return make_job(make_firm())


def tick(job, at) -> None:
    area = make_area(job)
    RoomTask.objects.create(
        firm=job.firm, package=make_package(area), room=make_room(area), code="C1", text="Chase", done_share=1, done_at=at
    )


def test_ticks_and_answers_after_the_plan_are_news(job):
    tick(job, LATER)
    make_visit(job, answered_at=LATER)
    assert list_news(make_plan(job.firm)) == ["1 line ticked", "1 answer from a trade"]


def test_what_the_plan_took_in_is_no_news(job):
    tick(job, NOW - timedelta(hours=1))
    assert list_news(make_plan(job.firm)) == []


def test_other_firms_ticks_are_no_news(job):
    tick(job, LATER)
    assert list_news(make_plan(make_firm("Other"))) == []

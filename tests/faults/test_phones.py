"""Phones at the same line at the same moment, and on nights when clocks change."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.actions.operations import apply_operation
from jobs.models import Job, RoomTask, SiteOperation, User
from tests.factories import NOW, make_area, make_crew_user, make_firm, make_job, make_package, make_person, make_room
from tests.faults.test_stock_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)
CLOCKS_GO_BACK = datetime(2027, 10, 31, 1, 0, tzinfo=UTC)
"""In Great Britain, 2 a.m. summer time becomes 1 a.m.: last Sunday of October, Summer Time Act 1972 as amended in 2002."""


@pytest.fixture
def task() -> RoomTask:
    area = make_area(make_job(make_firm(), state=Job.State.ON_SITE))
    package, room = make_package(area), make_room(area)
    return RoomTask.objects.create(firm=area.firm, package=package, room=room, code="sockets", text="Sockets", labour_hours=4)


@pytest.fixture
def phone(task: RoomTask) -> User:
    return make_crew_user(make_person(task.firm))


def send_tick(phone: User, task: RoomTask, op_id: object, *, at: datetime = NOW, sent_at: datetime = NOW, now: datetime = NOW):
    body = {
        "op_id": str(op_id), "kind": "tick", "item": str(task.uid), "value": {"share": 0.5}, "device_at": at.isoformat(),
        "sent_at": sent_at.isoformat(),
    }
    answer = apply_operation(user=phone, body=body, now=now)
    assert answer.status == 200, answer


def test_five_ticks_are_kept_when_eight_arrive_at_once_and_four_are_the_same(phone: User, task: RoomTask) -> None:
    ids = [uuid4()] * 4 + [uuid4() for _ in range(4)]
    assert at_once(*[lambda op_id=op_id: send_tick(phone, task, op_id) for op_id in ids]) == ["done"] * 8
    assert (SiteOperation.objects.count(), RoomTask.objects.get().done_share) == (5, Decimal("0.5"))


@pytest.mark.parametrize("minutes_wrong", [-3 * 24 * 60, -60, 0, 60, 3 * 24 * 60])
def test_work_is_dated_right_when_clocks_change_and_the_phone_is_wrong(phone: User, task: RoomTask, minutes_wrong: int) -> None:
    """Done half an hour before the clocks go back, sent two hours later: real hours count, whatever the phone shows."""
    done_at, sent_at, wrong = CLOCKS_GO_BACK - timedelta(minutes=30), CLOCKS_GO_BACK + timedelta(minutes=90), minutes_wrong
    off = timedelta(minutes=wrong)
    send_tick(phone, task, uuid4(), at=done_at + off, sent_at=sent_at + off, now=sent_at)
    assert RoomTask.objects.get().done_at == done_at

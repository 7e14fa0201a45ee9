"""Histories of three phones with wrong clocks, delivered late, out of order and twice: what stands equals a plain model.

As many histories as `--histories` says.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.actions.operations import apply_operation
from jobs.models import Job, Point, RoomTask, SiteOperation, User, WorkedHours
from jobs.queries.centres import load_centres
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

pytestmark = pytest.mark.django_db

SENT_AT = NOW + timedelta(days=3)
SHARES = ("0.25", "0.5", "1")
KINDS = ("tick", "untick", "not_needed", "measure", "hours")


@dataclass(frozen=True)
class Event:
    """What one phone recorded, a minute after the event before it; `sees_all` when it had heard of everything until then."""

    phone: int
    kind: str
    figure: int
    sees_all: bool


@dataclass(frozen=True)
class House:
    users: tuple[User, ...]
    task: RoomTask
    point: Point


@pytest.fixture
def house():
    firm = make_firm()
    area = make_area(make_job(firm, state=Job.State.ON_SITE))
    package, room = make_package(area), make_room(area)
    task = RoomTask.objects.create(firm=firm, package=package, room=room, code="swept", text="Swept", labour_hours=4)
    point = make_point(room, make_point_kind(firm, is_ceiling=True))
    return House(tuple(make_crew_user(make_person(firm)) for _ in range(3)), task, point)


events = st.builds(
    Event, phone=st.integers(0, 2), kind=st.sampled_from(KINDS), figure=st.integers(0, 2), sees_all=st.booleans()
)


@st.composite
def histories(draw):
    """Events in the order they happened, each phone's clock error in minutes, and the order of delivery with repeats."""
    happened = draw(st.lists(events, min_size=1, max_size=7))
    skews = draw(st.tuples(*[st.integers(-3 * 24 * 60, 3 * 24 * 60)] * 3))
    order = draw(st.permutations(range(len(happened))))
    return happened, skews, order + draw(st.lists(st.sampled_from(order), max_size=4))


def op_id(number: int) -> str:
    return str(UUID(int=number + 1, version=4))


def happened_at(number: int) -> datetime:
    return NOW + timedelta(minutes=number)


def marks_seen(happened: list[Event], number: int) -> list[int]:
    """Marks on the line that the phone knew of: its own, or everybody's."""
    own = happened[number]
    return [
        before for before in range(number)
        if happened[before].kind in KINDS[:3] and (own.sees_all or happened[before].phone == own.phone)
    ]


def value_of(happened: list[Event], number: int) -> dict[str, object]:
    event = happened[number]
    if event.kind == "measure":
        return {"wall_1": "A", "from_1_mm": 1000 + number, "wall_2": "D", "from_2_mm": event.figure}
    if event.kind == "hours":
        return {"hours": event.figure + 1}
    value: dict[str, object] = {"replaces": [op_id(one) for one in marks_seen(happened, number)]}
    return value | {"tick": {"share": SHARES[event.figure]}, "not_needed": {"reason": "Boxed in"}}.get(event.kind, {})


def body_of(house: House, happened: list[Event], number: int, skew: timedelta) -> dict[str, object]:
    event = happened[number]
    item = {"measure": house.point.uid, "hours": house.task.package.uid}.get(event.kind, house.task.uid)
    return {
        "op_id": op_id(number), "kind": event.kind, "item": str(item), "value": value_of(happened, number),
        "device_at": (happened_at(number) + skew).isoformat(), "sent_at": (SENT_AT + skew).isoformat(),
    }


def is_good(happened: list[Event], number: int) -> bool:
    """An untick that saw nothing to take back is no operation."""
    return happened[number].kind != "untick" or bool(marks_seen(happened, number))


def expected_share(happened: list[Event]) -> Decimal:
    """Largest share of the marks that no later mark took back; failing those, a line that is not needed counts as done."""
    good = [number for number in range(len(happened)) if is_good(happened, number) and happened[number].kind in KINDS[:3]]
    gone = {seen for number in good for seen in marks_seen(happened, number)}
    left = [happened[number] for number in good if number not in gone]
    ticked = [Decimal(SHARES[event.figure]) for event in left if event.kind == "tick"]
    return max(ticked) if ticked else Decimal(any(event.kind == "not_needed" for event in left))


def last(happened: list[Event], kind: str, phone: int | None = None) -> int | None:
    found = [n for n, event in enumerate(happened) if event.kind == kind and phone in (None, event.phone)]
    return found[-1] if found else None


def hours_by_phone(happened: list[Event]) -> list[int | None]:
    numbers = [last(happened, "hours", phone) for phone in range(3)]
    return [None if number is None else happened[number].figure + 1 for number in numbers]


def deliver(house: House, happened: list[Event], skews: tuple[int, ...], order: list[int]) -> set[int]:
    statuses = set()
    for number in order:
        phone = happened[number].phone
        body = body_of(house, happened, number, timedelta(minutes=skews[phone]))
        answer = apply_operation(user=house.users[phone], body=body, now=SENT_AT)
        statuses.add(answer.status if is_good(happened, number) else 200 if answer.status == 422 else 0)
    return statuses


def hours_kept(house: House) -> list[int | None]:
    kept = dict(WorkedHours.objects.values_list("person_id", "hours"))
    return [kept.get(user.person_id) for user in house.users]


def test_what_stands_equals_the_model_when_phones_send_late_twice_and_out_of_order(house, request):
    @settings(
        max_examples=request.config.getoption("--histories"), deadline=None, database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(history=histories())
    def check(history) -> None:
        happened, skews, order = history
        with transaction.atomic():
            assert deliver(house, happened, skews, order) == {200}
            task, said = RoomTask.objects.get(pk=house.task.pk), load_centres(house.point.room)[0].said
            number = last(happened, "measure")
            assert SiteOperation.objects.count() == sum(is_good(happened, one) for one in range(len(happened)))
            assert task.done_share == expected_share(happened)
            assert (said and said.centre.from_1_mm) == (None if number is None else 1000 + number)
            assert hours_kept(house) == hours_by_phone(happened)
            transaction.set_rollback(True)

    check()

import uuid
from decimal import Decimal

import pytest

from jobs.actions.locations import van_of
from jobs.actions.operations import apply_operation
from jobs.actions.programme import make_programme
from jobs.models import Item, Job, Location, PointKind, RoomTask, StockMove
from jobs.queries.actual_use import load_use
from tests.factories import (
    NOW,
    make_area,
    make_circuit,
    make_crew_user,
    make_drum,
    make_firm,
    make_job,
    make_location,
    make_office,
    make_person,
    make_point,
    make_room,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def line():
    """First-fix work on four double sockets on a ring, of a real programme."""
    firm = make_firm(with_catalogue=True)
    room = make_room(make_area(make_job(firm, state=Job.State.ON_SITE)))
    kind, circuit = PointKind.objects.get(firm=firm, code="double-socket"), make_circuit(room.job)
    for _ in range(4):
        make_point(room, kind, circuit)
    make_programme(job=room.job, by=make_office(firm))
    return RoomTask.objects.select_related("package__job").get(room=room, package__stage="first_fix", point_kind=kind)


@pytest.fixture
def crew(line):
    return make_crew_user(make_person(line.firm, "Priya"))


@pytest.fixture
def cable(line):
    """The ring's usual cable."""
    return line.package.needs.filter(item__unit=Item.Unit.METRE).order_by("-quantity").first().item


@pytest.fixture
def drum(line, cable):
    made, unit = make_drum(cable, "D7"), make_location(line.firm, Location.Kind.UNIT, "Yard")
    supplier = make_location(line.firm, Location.Kind.SUPPLIER)
    StockMove.objects.create(
        firm=line.firm, item=cable, drum=made, cable_metres=100, moved_from=supplier, moved_to=unit, reason="receive", made_at=NOW
    )
    return made


def send(user, kind: str, item, **value: object):
    body = {
        "op_id": str(uuid.uuid4()), "kind": kind, "item": str(item.uid), "value": value,
        "device_at": NOW.isoformat(), "sent_at": NOW.isoformat(),
    }
    return apply_operation(user=user, body=body, now=NOW), body["op_id"]


def pull(user, package, start: object, end: object):
    return send(user, "used", package, drum="d7", start_mark=start, end_mark=end)[0]


def row_of(job, item):
    return next(row for row in load_use(job) if row.item == item)


def test_metres_between_the_marks_leave_the_drum(crew, line, cable, drum):
    assert pull(crew, line.package, "112.5", "98").status == 200

    assert StockMove.objects.get(drum=drum, reason="use").cable_metres == Decimal("14.5")


def test_what_was_recorded_takes_the_place_of_what_the_tick_took(crew, line, cable, drum):
    send(crew, "tick", line)
    assert row_of(line.package.job, cable).actual == row_of(line.package.job, cable).expected > 0

    pull(crew, line.package, 0, 31)

    row = row_of(line.package.job, cable)
    assert (row.actual, row.is_recorded, row.difference) == (31, True, 31 - row.expected)


def test_tick_takes_no_more_of_what_was_recorded_before_it(crew, line, cable, drum):
    pull(crew, line.package, 0, 31)

    send(crew, "tick", line)

    assert row_of(line.package.job, cable).actual == 31
    assert any(row.actual for row in load_use(line.package.job) if row.item != cable)


def test_untick_gives_back_only_what_was_not_given_back_before(crew, line, cable, drum):
    tick = send(crew, "tick", line)[1]
    pull(crew, line.package, 0, 31)

    send(crew, "untick", line, replaces=[tick])

    assert {row.item: row.actual for row in load_use(line.package.job)} == {cable: 31}


def test_pieces_leave_the_van_of_whoever_used_them(crew, line):
    item = line.package.needs.filter(item__unit=Item.Unit.PIECE).first().item

    assert send(crew, "used", line.package, thing=item.code, pieces=7)[0].status == 200
    assert StockMove.objects.get(item=item).moved_from == van_of(crew.person)


def test_offcut_comes_back_with_a_label_of_its_own(crew, line, cable, drum):
    pull(crew, line.package, 0, 31)

    answer, _ = send(crew, "brought_back", line.package, thing=cable.code, quantity=6, label="D7a")

    assert answer.status == 200
    assert row_of(line.package.job, cable).actual == 25


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("used", {"drum": "D9", "start_mark": 1, "end_mark": 2}),
        ("used", {"thing": "no-such-thing", "pieces": 1}),
        ("brought_back", {"thing": "no-such-thing", "quantity": 1}),
    ],
)
def test_use_is_refused_and_moves_nothing_when_the_books_do_not_know_the_thing(crew, line, kind, value):
    assert send(crew, kind, line.package, **value)[0].status == 409
    assert not StockMove.objects.exists()


def test_more_cannot_come_back_than_was_used(crew, line, cable, drum):
    pull(crew, line.package, 0, 5)

    assert send(crew, "brought_back", line.package, thing=cable.code, quantity=6, label="D7a")[0].status == 409


def test_nothing_moves_when_the_package_is_of_another_firm(line, drum):
    stranger = make_crew_user(make_person(make_firm("Other")))

    assert pull(stranger, line.package, 0, 5).status == 422
    assert not StockMove.objects.filter(reason="use").exists()

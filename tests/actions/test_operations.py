import itertools
import uuid
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db.models import Case, When

from jobs.actions import marks, operations, stock
from jobs.actions.operations import apply_operation
from jobs.actions.programme import make_programme
from jobs.models import Job, Location, PointKind, RoomTask, SiteOperation, StockMove
from jobs.queries.centres import load_centres
from jobs.queries.takeoff import load_line_materials
from rewire.named_firm import work_for
from tests.factories import (
    NOW,
    make_area,
    make_circuit,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_package,
    make_person,
    make_point,
    make_point_kind,
    make_room,
)
from tests.rows import Rows

pytestmark = pytest.mark.django_db


@pytest.fixture
def crew(firm):
    return make_crew_user(make_person(firm, "Priya"))


@pytest.fixture
def job(firm):
    return make_job(firm, state=Job.State.BOOKED)


@pytest.fixture
def task(job):
    area = make_area(job)
    return make_task(make_package(area), make_room(area))


@pytest.fixture
def used(monkeypatch):
    """Shares in use, by operation, as the stores are told."""
    shares: dict[str, Decimal] = {}
    monkeypatch.setattr(stock, "use_for_task", lambda *, op_id, share, **rest: shares.update({op_id: share}))
    monkeypatch.setattr(marks, "list_use_ids", lambda task: list(shares))
    monkeypatch.setattr(stock, "undo_use", lambda *, op_id, **rest: shares.pop(op_id, None))
    return shares


def make_task(package, room, code: str = "sockets", **fields: object) -> RoomTask:
    return RoomTask.objects.create(
        firm_id=package.firm_id, package=package, room=room, code=code, text="Sockets × 4", labour_hours=4, **fields
    )


def body(task: RoomTask, kind: str = "tick", op_id: str = "", at: datetime = NOW, **value: object) -> dict[str, object]:
    return {
        "op_id": op_id or str(uuid.uuid4()), "kind": kind, "item": str(task.uid), "value": value,
        "device_at": at.isoformat(), "sent_at": at.isoformat(),
    }


def apply(user, operation: dict[str, object], now: datetime = NOW) -> operations.Answer:
    return apply_operation(user=user, body=operation, now=now)


def test_line_is_done_by_its_person_when_ticked(crew, task):
    answer = apply(crew, body(task))

    task.refresh_from_db()
    assert (answer.result, answer.status) == ("applied", 200)
    assert (task.is_done, task.done_by, task.done_at) == (True, crew.person, NOW)


def test_nothing_changes_when_the_same_operation_comes_again(crew, task):
    operation = body(task)
    apply(crew, operation)

    answer = apply(crew, operation | {"sent_at": (NOW + timedelta(hours=1)).isoformat()})

    assert (answer.result, answer.status) == ("duplicate", 200)
    assert SiteOperation.objects.count() == 1


def test_line_is_open_again_when_its_tick_is_taken_back(crew, task):
    tick = body(task)
    apply(crew, tick)

    answer = apply(crew, body(task, "untick", replaces=[tick["op_id"]]))

    task.refresh_from_db()
    assert (task.done_share, task.done_by, task.done_at) == (0, None, None)
    assert answer.state == {"item": str(task.uid), "share": 0.0, "not_needed": "", "marks": []}


def test_line_is_part_done_when_a_share_is_given(crew, task):
    apply(crew, body(task, share=0.25))

    task.refresh_from_db()
    assert task.done_share == Decimal("0.25")


def test_line_is_settled_with_its_reason_when_not_needed(crew, task):
    apply(crew, body(task, "not_needed", reason="Customer keeps the old fitting"))

    task.refresh_from_db()
    assert (task.is_done, task.not_needed) == (True, "Customer keeps the old fitting")


def test_time_is_corrected_when_the_phone_was_offline_with_a_wrong_clock(crew, task):
    phone_now = NOW + timedelta(days=3)
    operation = body(task, at=phone_now - timedelta(hours=5)) | {"sent_at": phone_now.isoformat()}

    apply(crew, operation)

    assert SiteOperation.objects.get().corrected_at == NOW - timedelta(hours=5)


def test_tick_is_kept_when_the_phone_thinks_it_is_2019(crew, task):
    apply(crew, body(task, at=datetime(2019, 1, 1, tzinfo=UTC)))

    task.refresh_from_db()
    assert task.done_at == NOW


def test_job_is_on_site_when_its_first_line_is_ticked(crew, task, job):
    apply(crew, body(task))

    job.refresh_from_db()
    assert job.state == Job.State.ON_SITE


def test_package_is_finished_only_while_all_its_lines_are_done(crew, task):
    other = make_task(task.package, task.room, "lights")
    tick = body(other)
    apply(crew, body(task))
    apply(crew, tick)
    task.package.refresh_from_db()
    assert task.package.finished_at == NOW

    apply(crew, body(other, "untick", replaces=[tick["op_id"]]))
    task.package.refresh_from_db()
    assert task.package.finished_at is None


def test_package_is_finished_when_the_only_open_line_is_withdrawn(crew, task):
    make_task(task.package, task.room, "lights", is_withdrawn=True)

    apply(crew, body(task))

    task.package.refresh_from_db()
    assert task.package.finished_at == NOW


@pytest.mark.parametrize("state", [Job.State.HANDED_OVER, Job.State.DROPPED])
def test_tick_is_refused_with_reason_and_state_when_the_job_is_closed(crew, task, job, state):
    Job.objects.filter(pk=job.pk).update(state=state)

    answer = apply(crew, body(task))

    assert (answer.result, answer.status, answer.state["share"]) == ("refused", 409, 0.0)
    assert "Tell the office" in answer.reason


def test_refusal_is_repeated_when_a_refused_operation_comes_again(crew, task):
    RoomTask.objects.filter(pk=task.pk).update(is_withdrawn=True)
    operation = body(task)
    first = apply(crew, operation)
    RoomTask.objects.filter(pk=task.pk).update(is_withdrawn=False)

    assert apply(crew, operation) == first
    task.refresh_from_db()
    assert task.done_share == 0


def test_operation_is_bad_when_its_id_was_used_for_something_else(crew, task):
    operation = body(task)
    apply(crew, operation)

    answer = apply(crew, body(task, op_id=operation["op_id"], share=0.5))

    assert (answer.result, answer.status) == ("bad", 422)


def test_operation_is_bad_when_another_firms_phone_used_its_id(crew, task):
    theirs = Rows(make_firm("Another firm"))[SiteOperation]

    with work_for(crew.firm_id):
        answer = apply(crew, body(task, op_id=str(theirs.op_id)))

    assert (answer.result, answer.state) == ("bad", {})


def test_operation_is_bad_when_its_line_is_of_another_firm(task):
    stranger = make_crew_user(make_person(make_firm("Other")))

    answer = apply(stranger, body(task))

    assert (answer.result, answer.state) == ("bad", {})
    assert not SiteOperation.objects.exists()


def test_nothing_is_told_when_another_firm_guesses_an_operation_id(crew, task):
    operation = body(task)
    apply(crew, operation)
    stranger = make_crew_user(make_person(make_firm("Other")))

    assert apply(stranger, operation).state == {}


def test_bad_operation_changes_nothing_and_is_acknowledged(crew, task):
    operation = body(task, share=1e9)

    answer = apply(crew, operation)

    assert (answer.ack, answer.status) == (operation["op_id"], 422)
    assert not SiteOperation.objects.exists()


def test_operation_is_refused_when_the_user_is_no_longer_active(crew, task):
    crew.is_active = False

    with pytest.raises(PermissionDenied):
        apply(crew, body(task))


def test_materials_are_used_once_when_two_phones_tick_the_same_line(crew, task, used):
    apply(crew, body(task))
    apply(crew, body(task))

    assert sum(used.values()) == 1


def test_materials_stay_used_when_an_untick_did_not_see_the_other_tick(crew, task, used):
    first = body(task)
    apply(crew, first)
    apply(crew, body(task))

    apply(crew, body(task, "untick", replaces=[first["op_id"]]))

    assert sum(used.values()) == 1


def test_no_materials_are_used_when_the_line_is_not_needed(crew, task, used):
    tick = body(task)
    apply(crew, tick)

    apply(crew, body(task, "not_needed", reason="Boxed in", replaces=[tick["op_id"]]))

    assert used == {}


def test_nothing_is_kept_when_stock_fails(crew, task, monkeypatch):
    monkeypatch.setattr(stock, "use_for_task", lambda **rest: 1 / 0)

    with pytest.raises(ZeroDivisionError):
        apply(crew, body(task))

    task.refresh_from_db()
    assert task.done_share == 0
    assert not SiteOperation.objects.exists()


def test_materials_and_share_agree_whatever_the_order_of_arrival(crew, task, used):
    half, whole = body(task, share=0.5), body(task)
    marks = [
        half, whole, body(task, "untick", replaces=[whole["op_id"]]),
        body(task, share=0.75, replaces=[half["op_id"]]),
    ]
    for order in itertools.permutations(marks):
        SiteOperation.objects.all().delete()
        RoomTask.objects.update(done_share=0)
        used.clear()
        for operation in (*order, *order):
            apply(crew, operation)
        task.refresh_from_db()
        assert (task.done_share, sum(used.values())) == (Decimal("0.75"), Decimal("0.75"))


@pytest.fixture
def surveyed_task():
    """A line of a real programme: four double sockets on one ring, with their recipes."""
    firm = make_firm("Surveyed", with_catalogue=True)
    job = make_job(firm)
    room, circuit = make_room(make_area(job)), make_circuit(job)
    kind = PointKind.objects.get(firm=firm, code="double-socket")
    for _ in range(4):
        make_point(room, kind, circuit)
    make_programme(job=job, by=make_office(firm))
    return RoomTask.objects.get(room=room, package__stage="first_fix", point_kind=kind)


def fitted(task: RoomTask) -> Decimal:
    """What lies in the house of all the line's materials, pieces and metres together."""
    sign = Case(When(moved_to__kind=Location.Kind.FITTED, then=1), default=-1)
    moves = StockMove.objects.filter(task=task).annotate(sign=sign)
    return sum((move.sign * (move.pieces or move.cable_metres) for move in moves), Decimal(0))


def test_materials_leave_stock_with_a_tick_and_come_back_with_its_untick(surveyed_task):
    user = make_crew_user(make_person(surveyed_task.firm))
    whole = sum(load_line_materials(surveyed_task).values())
    tick = body(surveyed_task)

    apply(user, tick)
    assert fitted(surveyed_task) == whole > 0

    apply(user, body(surveyed_task, "untick", replaces=[tick["op_id"]]))
    assert fitted(surveyed_task) == 0


def test_a_part_of_the_materials_stays_used_when_a_larger_share_is_taken_back(surveyed_task):
    user = make_crew_user(make_person(surveyed_task.firm))
    first, second = body(surveyed_task, share=0.5), body(surveyed_task)
    apply(user, first)
    half = fitted(surveyed_task)
    apply(user, second)

    apply(user, body(surveyed_task, "untick", replaces=[second["op_id"]]))

    assert fitted(surveyed_task) == half > 0


@pytest.fixture
def downlight(job):
    kind = make_point_kind(job.firm, name="Downlight", is_ceiling=True)
    return make_point(make_room(make_area(job), length_metres=4, width_metres=3), kind)


def measured(point, from_1_mm: int = 1200, **changes: object) -> dict[str, object]:
    value = {"wall_1": "A", "from_1_mm": from_1_mm, "wall_2": "D", "from_2_mm": 850}
    return body(point, "measure", **value) | changes


def test_centre_stands_with_its_person_when_measured(crew, downlight):
    answer = apply(crew, measured(downlight))

    said = load_centres(downlight.room)[0].said
    assert (answer.status, said.by, said.centre.words) == (200, "Priya", "1200 mm from wall A, 850 mm from wall D")


def test_what_was_said_last_stands_when_what_was_said_before_came_slowly(crew, downlight):
    first, second = measured(downlight, 1000), measured(downlight, 1100)
    at = NOW + timedelta(seconds=15)
    second |= {"device_at": at.isoformat(), "sent_at": at.isoformat()}

    apply(crew, first, now=NOW + timedelta(seconds=20))
    apply(crew, second, now=at + timedelta(seconds=1))

    assert load_centres(downlight.room)[0].said.centre.from_1_mm == 1100


def test_last_centre_by_corrected_time_stands_and_the_others_are_kept(crew, downlight):
    early, late = measured(downlight, 1000), measured(downlight, 1100)
    early["device_at"] = (NOW - timedelta(hours=2)).isoformat()
    for operation in (late, early):
        apply(crew, operation)

    row = load_centres(downlight.room)[0]
    assert (row.said.centre.from_1_mm, [one.centre.from_1_mm for one in row.before]) == (1100, [1000])


def test_centre_is_refused_when_its_point_left_the_survey(crew, downlight):
    downlight.is_dropped = True
    downlight.save()

    assert apply(crew, measured(downlight)).status == 409
    assert SiteOperation.objects.get().outcome == SiteOperation.Outcome.REFUSED


def test_centre_is_bad_when_its_point_is_of_another_firm(downlight):
    stranger = make_crew_user(make_person(make_firm("Other")))

    assert apply(stranger, measured(downlight)).status == 422

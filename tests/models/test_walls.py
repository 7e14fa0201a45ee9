import pytest
from django.db import Error, connection, transaction

from jobs.models import Area, Plan, StockMove
from jobs.models.walls import build_walls, drop_walls, walled_columns
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def move():
    firm = factories.make_firm()
    unit, van = factories.make_location(firm), factories.make_location(firm, "van")
    return factories.make_move(factories.make_item(firm), unit, van)


def test_row_is_refused_when_it_points_at_another_firms_row():
    mine, theirs = factories.make_firm(), factories.make_firm("Another firm")
    job = factories.make_job(theirs)
    with pytest.raises(Error, match="another firm"), transaction.atomic():
        Area.objects.create(firm=mine, job=job, name="Ground floor")


def test_change_is_refused_when_it_moves_a_row_to_another_firms_job():
    area = factories.make_area(factories.make_job(factories.make_firm()))
    foreign = factories.make_job(factories.make_firm("Another firm"))
    with pytest.raises(Error, match="another firm"), transaction.atomic():
        Area.objects.filter(pk=area.pk).update(job=foreign)


def test_every_pointer_between_firm_rows_is_walled_when_the_database_is_built():
    walled = set(walled_columns())
    assert ("jobs_booking", "person_id", "jobs_person") in walled
    assert ("jobs_user", "person_id", "jobs_person") in walled
    assert len(walled) > 60


def test_edit_is_refused_when_a_stock_move_stands(move):
    with pytest.raises(Error, match="never edited"), transaction.atomic():
        StockMove.objects.filter(pk=move.pk).update(pieces=99)


def test_pointer_is_emptied_when_the_task_of_a_move_is_deleted():
    firm = factories.make_firm()
    area = factories.make_area(factories.make_job(firm))
    package, room = factories.make_package(area), factories.make_room(area)
    task = package.tasks.create(firm=firm, room=room, code="x", text="x")
    unit, van = factories.make_location(firm), factories.make_location(firm, "van")
    move = factories.make_move(factories.make_item(firm), unit, van, task=task)
    task.delete()
    assert StockMove.objects.get(pk=move.pk).task_id is None


def test_second_draft_is_refused_when_the_firm_has_one():
    firm = factories.make_firm()
    factories.make_plan(firm)
    with pytest.raises(Error), transaction.atomic():
        factories.make_plan(firm, Plan.State.DRAFT)


@pytest.mark.django_db(transaction=True)
def test_walls_stand_again_when_a_migration_rebuilt_a_table():
    drop_walls()
    field = Area._meta.get_field("name")
    with connection.schema_editor() as editor:
        longer = type(field)(max_length=61)
        longer.set_attributes_from_name("name")
        longer.model = Area
        editor.alter_field(Area, field, longer)
        editor.alter_field(Area, longer, field)
    build_walls()
    mine, theirs = factories.make_firm(), factories.make_firm("Another firm")
    with pytest.raises(Error, match="another firm"), transaction.atomic():
        Area.objects.create(firm=mine, job=factories.make_job(theirs), name="Ground floor")

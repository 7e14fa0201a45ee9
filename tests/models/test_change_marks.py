"""Every kind of change of every kind of row leaves a mark."""

from collections.abc import Callable

import pytest
from django.apps import apps
from django.db import connection, models, transaction

from jobs.models import Firm, FirmChange, Room, RoomTask, TrailEntry, User
from jobs.models.change_marks import TICKED, UNMARKED, build_marks, marked_tables, ticked_mark
from jobs.models.walls import APPEND_ONLY, drop_walls
from tests.factories import make_firm
from tests.rows import Rows

pytestmark = pytest.mark.django_db
MARKED = [model for model in apps.get_app_config("jobs").get_models() if model.__name__ not in UNMARKED]


@pytest.fixture
def rows():
    rows = Rows(make_firm())
    for model in MARKED:
        rows[model]
    return rows


def marked_by(firm: Firm, change: Callable[[], object]) -> set[str]:
    """The tables for which a change leaves a mark; it is undone. PostgreSQL marks a table once in a transaction."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            tables = [table for table, _ in marked_tables()] + [ticked_mark(table) for table in TICKED]
            connection.cursor().execute("SELECT set_config('rewire.marked_' || t, '', true) FROM unnest(%s::text[]) t", [tables])
        before = set(FirmChange.objects.filter(firm_number=firm.pk).values_list("pk", flat=True))
        change()
        after = FirmChange.objects.filter(firm_number=firm.pk).exclude(pk__in=before)
        tables = set(after.values_list("table_name", flat=True))
        transaction.set_rollback(True)
    return tables


def marks_it(model: type[models.Model], firm: Firm, change: Callable[[], object]) -> bool:
    return model._meta.db_table in marked_by(firm, change)


def touch(row: models.Model) -> Callable[[], object]:
    """The least of changes: a column set to what it is."""
    return lambda: type(row).objects.filter(pk=row.pk).update(id=row.pk)


def remove(row: models.Model) -> Callable[[], object]:
    table = row._meta.db_table
    return lambda: connection.cursor().execute(f"DELETE FROM {table} WHERE id = %s", [row.pk])  # noqa: S608


def add(model: type[models.Model], rows: Rows) -> Callable[[], object]:
    return lambda: model.objects.create(**rows._fields(model))


def test_every_model_of_a_firm_is_marked_or_named_as_not():
    tables = {table for table, _ in marked_tables()}
    assert {"jobs_firm", "jobs_user", "jobs_booking", "jobs_roomtask", "jobs_stockmove"} <= tables
    assert len(tables) > 70


def test_a_mark_is_left_when_a_row_is_edited(rows):
    edited = [model for model in MARKED if model.__name__ not in APPEND_ONLY]
    assert [model for model in edited if not marks_it(model, rows.firm, touch(rows[model]))] == []


def test_a_mark_is_left_when_a_row_is_deleted(rows):
    assert [model for model in MARKED if not marks_it(model, rows.firm, remove(rows[model]))] == []


def test_a_mark_is_left_when_a_row_is_added():
    rows = Rows(make_firm())
    assert [m for m in MARKED if m is not Firm and not marks_it(m, rows.firm, lambda m=m: Rows(rows.firm)[m])] == []


def test_a_tick_marks_only_what_ticks_change(rows):
    task = rows[RoomTask]
    assert marked_by(rows.firm, lambda: task.save(update_fields=["done_share", "done_by", "done_at"])) == {"jobs_roomtask_ticked"}
    assert marked_by(rows.firm, task.save) == {"jobs_roomtask", "jobs_roomtask_ticked"}


def test_no_mark_is_left_when_another_firm_changes(rows):
    other = Rows(make_firm("Another firm"))
    other[Room]
    assert not marked_by(rows.firm, touch(other[Room]))


def test_no_mark_is_left_when_somebody_without_a_firm_changes(rows):
    operator = User.objects.create(username="operator", firm=None)
    assert not marked_by(rows.firm, touch(operator))


def test_no_mark_is_left_when_only_the_trail_grows(rows):
    assert not marked_by(rows.firm, lambda: Rows(rows.firm)[TrailEntry])


def test_marks_are_left_again_when_the_triggers_are_built_anew(rows):
    drop_walls()
    build_marks()
    assert marked_by(rows.firm, touch(rows[Room])) == {"jobs_room"}

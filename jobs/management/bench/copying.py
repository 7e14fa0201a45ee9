"""Copying rows within the database, by the thousand."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import connection, transaction
from django.db.backends.utils import CursorWrapper

from jobs.models.change_marks import build_marks
from jobs.models.walls import build_walls, drop_walls

APART = 1_000_000
"""Between a row's key and that of its copy: more than any key of the first firm."""
NUMBERS = "WITH RECURSIVE n(k) AS (SELECT %s UNION ALL SELECT k + 1 FROM n WHERE k < %s)"


@contextmanager
def without_triggers() -> Iterator[None]:
    """Walls and marks would look at each row: what is copied is as right as what was there."""
    drop_walls() if connection.vendor == "sqlite" else _switch_triggers("DISABLE")
    try:
        yield
    finally:
        if connection.vendor == "sqlite":
            build_walls()
            build_marks()
        else:
            _switch_triggers("ENABLE")
            connection.cursor().execute("ANALYZE")  # a server does so by itself, some time later


@contextmanager
def in_one_go() -> Iterator[CursorWrapper]:
    """A cursor in a transaction that looks at pointers only at its end."""
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA defer_foreign_keys = ON")
        yield cursor
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")  # nobody else does so here, and the log makes reading slow


def new_uuid() -> str:
    return "lower(hex(randomblob(16)))" if connection.vendor == "sqlite" else "gen_random_uuid()"


def days_later(column: str, days: int) -> str:
    """The day `days` × k later."""
    return f"date({column}, (n.k * {days}) || ' days')" if connection.vendor == "sqlite" else f"{column} + n.k * {days}"


def _switch_triggers(which: str) -> None:
    with connection.cursor() as cursor:
        for model in apps.get_app_config("jobs").get_models():
            cursor.execute(f"ALTER TABLE {model._meta.db_table} {which} TRIGGER USER")

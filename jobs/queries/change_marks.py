"""Where a firm's rows stand, table by table: equal answers mean that nothing of a table changed in between."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache

from django.db import connection

from jobs.models.change_marks import MARKS, TICKED, marked_tables, ticked_mark

Standing = dict[str, list[int]]
"""Table → its marks; a table without any has not changed since marks are kept."""
_TABLES = tuple(re.compile(f"{app}_[a-z_]+") for app in ("jobs", "auth", "axes", "django"))


def load_standing(firm_pk: int) -> Standing | None:
    """The firm's marks of change; None while it has none, and inside a transaction, whose changes may yet be undone.

    Read it *before* the rows that are to be kept with it: what changes in between then shows in the next standing. All
    the marks, not just the last: of two writers the one that began first may end last.
    """
    if connection.in_atomic_block:
        return None
    standing = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT table_name, id FROM {MARKS} WHERE firm_number = %s ORDER BY id", [firm_pk])  # noqa: S608
        for table, pk in cursor.fetchall():
            standing[table].append(pk)
    return dict(standing) or None


@contextmanager
def note_tables() -> Iterator[set[str]]:
    """Within it, every table that a query names is noted: what is asked is seen, not declared.

    The columns that ticks change count as a table of their own, asked where the query so much as names one of them.
    """
    asked: set[str] = set()

    def note(execute: Callable[..., object], sql: str, *rest: object) -> object:
        asked.update(table for pattern in _TABLES for table in pattern.findall(sql))
        asked.update(ticked_mark(table) for table, columns in TICKED.items() if table in sql and _names_any(sql, columns))
        return execute(sql, *rest)

    with connection.execute_wrapper(note):
        yield asked


def _names_any(sql: str, columns: tuple[str, ...]) -> bool:
    return any(column in sql for column in columns) or ".*" in sql or "SELECT *" in sql


def standing_of(tables: set[str], standing: Standing) -> Standing | None:
    """Where these tables stand; None when a table is among them whose changes leave no marks."""
    return {table: standing.get(table, []) for table in tables} if tables <= _marked() else None


@cache
def _marked() -> frozenset[str]:
    return frozenset({table for table, _ in marked_tables()} | {ticked_mark(table) for table in TICKED})


def still_stands(kept: Standing, standing: Standing) -> bool:
    return all(standing.get(table, []) == marks for table, marks in kept.items())

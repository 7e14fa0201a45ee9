"""Where a firm's rows stand: equal answers mean that nothing of them changed in between."""

from django.db import connection

from jobs.models.change_marks import MARKS

Standing = tuple[int, ...]


def load_standing(firm_pk: int) -> Standing | None:
    """The firm's marks of change; None while it has none, and inside a transaction, whose changes may yet be undone.

    Read it *before* the rows that are to be kept with it: what changes in between then shows in the next standing. All
    the marks, not just the last: of two writers the one that began first may end last.
    """
    if connection.in_atomic_block:
        return None
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT id FROM {MARKS} WHERE firm_number = %s ORDER BY id", [firm_pk])  # noqa: S608
        return tuple(pk for (pk,) in cursor.fetchall()) or None

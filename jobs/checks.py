"""System checks."""

import sqlite3

from django.core.checks import CheckMessage, Info, Tags, Warning, register
from django.db import connection

SAFE_SQLITE = (3, 51, 3)
ABOVE_GUARDS = "SELECT rolname FROM pg_roles WHERE rolname = current_user AND (rolsuper OR rolbypassrls)"


@register(Tags.database)
def sqlite_is_free_of_the_log_fault(*, databases: list[str] | None, **kwargs: object) -> list[CheckMessage]:
    """An Info, not a Warning: `jobs.checkpoints` keeps clear of the fault, and most systems ship an older SQLite.

    Told when the database is asked about: on `migrate` and on `check --database default`.
    """
    if not databases or connection.vendor != "sqlite" or sqlite3.sqlite_version_info >= SAFE_SQLITE:
        return []
    return [
        Info(
            f"SQLite {sqlite3.sqlite_version} can corrupt its write-ahead log under rare timing; rewire checkpoints in a "
            "way that avoids it.",
            hint="SQLite 3.51.3 or newer is free of the fault. Keep backups, and open the file with no other program.",
            id="jobs.I001",
        )
    ]


@register(Tags.database)
def postgresql_holds_the_guards(*, databases: list[str] | None, **kwargs: object) -> list[CheckMessage]:
    """Told on `migrate` and on `check --database default`."""
    if not databases or connection.vendor != "postgresql":
        return []
    with connection.cursor() as cursor:
        cursor.execute(ABOVE_GUARDS)
        above = cursor.fetchone()
    if above is None:
        return []
    return [
        Warning(
            f"PostgreSQL shows every firm's rows to “{above[0]}”, whichever firm is worked for: the role is a superuser or has "
            "BYPASSRLS, and no guard holds it.",
            hint="Take both from it (ALTER ROLE … NOSUPERUSER NOBYPASSRLS CREATEDB), or let DATABASE_URL name a plain role that "
            "owns the database.",
            id="jobs.W001",
        )
    ]

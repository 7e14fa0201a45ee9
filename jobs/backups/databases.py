"""Copying a database out, looking at the copy, and copying it back, for SQLite and PostgreSQL."""

import os
import shutil
import sqlite3
import subprocess
import uuid
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from django.db import connection
from psycopg import sql

from jobs.backups.manifest import BackupError

DEBIAN_POSTGRES = Path("/usr/lib/postgresql")
"""Debian keeps some of PostgreSQL's programs out of PATH, one folder for each version."""
NEWEST = "SELECT app, max(name) FROM django_migrations GROUP BY app"


@dataclass(frozen=True)
class Content:
    """What a database holds: rows by table, and the newest migration of each app."""

    rows: dict[str, int]
    migrations: dict[str, str]


@dataclass(frozen=True)
class Copier:
    """How one kind of database is copied out to a file, how such a file is looked at, and how it comes back."""

    copy_out: Callable[[Path], None]
    look_at: Callable[[Path], Content]
    copy_back: Callable[[Path], None]


def live_content() -> Content:
    with connection.cursor() as cursor:
        return _read(cursor, connection.introspection.table_names(cursor))


def copier(vendor: str) -> Copier:
    return COPIERS[vendor]


def _read(cursor: Any, tables: Iterable[str]) -> Content:
    cursor.execute(NEWEST)
    migrations = dict(cursor.fetchall())
    rows = {}
    for table in tables:
        cursor.execute(f'SELECT count(*) FROM "{table}"')
        rows[table] = cursor.fetchone()[0]
    return Content(rows, migrations)


# SQLite


def _vacuum_into(path: Path) -> None:
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(path)])
    with path.open("rb") as file:
        os.fsync(file.fileno())


def _look_at_file(path: Path) -> Content:
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as copy:
        faults = [row[0] for row in copy.execute("PRAGMA integrity_check")]
        if faults != ["ok"] or copy.execute("PRAGMA foreign_key_check").fetchone():
            raise BackupError(f"{path} is damaged: {faults[0]}. Use another backup, and look at the disk.")
        names = copy.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite!_%' ESCAPE '!'")
        return _read(copy.cursor(), [row[0] for row in names.fetchall()])


def _write_over(path: Path) -> None:
    """Through the open connection, in one transaction: replacing the file would pull it from under other processes."""
    connection.ensure_connection()
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as copy:
        copy.backup(connection.connection)


# PostgreSQL


def _dump(path: Path) -> None:
    # The guards' policies hold the tables' owner too; no firm is named here, so they show every row.
    _run("pg_dump", "--format=custom", "--no-owner", "--no-privileges", "--enable-row-security", f"--file={path}")


def _look_at_dump(path: Path) -> Content:
    """The copy is restored into a database of its own, which goes afterwards."""
    with _scratch_database() as name:
        _run("pg_restore", "--no-owner", "--exit-on-error", f"--dbname={name}", str(path))
        with psycopg.connect(**_parameters(dbname=name)) as restored, restored.cursor() as cursor:
            cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = current_schema()")
            return _read(cursor, [row[0] for row in cursor.fetchall()])


def _restore_dump(path: Path) -> None:
    name = str(_parameters()["dbname"])
    connection.close()
    _run("pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction", f"--dbname={name}", str(path))


@contextmanager
def _scratch_database() -> Iterator[str]:
    name = f"rewire_check_{uuid.uuid4().hex[:12]}"
    with closing(psycopg.connect(**_parameters(), autocommit=True)) as server:
        try:
            server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        except psycopg.errors.InsufficientPrivilege as error:
            raise BackupError("A backup is proved by restoring it: let the database's user make databases (CREATEDB).") from error
        try:
            yield name
        finally:
            server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def _parameters(**changed: str) -> dict[str, Any]:
    given = {key: connection.settings_dict[name] for key, name in PLACES.items() if connection.settings_dict[name]}
    return given | changed


PLACES = {"dbname": "NAME", "host": "HOST", "port": "PORT", "user": "USER", "password": "PASSWORD"}
VARIABLES = {"dbname": "PGDATABASE", "host": "PGHOST", "port": "PGPORT", "user": "PGUSER", "password": "PGPASSWORD"}


def _run(program: str, *arguments: str) -> None:
    environment = os.environ | {VARIABLES[key]: str(value) for key, value in _parameters().items()}
    ended = subprocess.run([_find(program), *arguments], env=environment, capture_output=True, text=True, check=False)
    if ended.returncode:
        raise BackupError(f"{program} failed: {ended.stderr.strip()[-500:]}")


def _find(program: str) -> str:
    """The newest there is: an older one refuses a newer server."""
    versions = sorted(DEBIAN_POSTGRES.glob(f"*/bin/{program}"), key=lambda path: int(path.parts[-3]))
    found = str(versions[-1]) if versions else shutil.which(program)
    if not found:
        raise BackupError(f"{program} is not installed: add PostgreSQL's client programs (Debian: postgresql-client).")
    return found


COPIERS = {
    "sqlite": Copier(_vacuum_into, _look_at_file, _write_over),
    "postgresql": Copier(_dump, _look_at_dump, _restore_dump),
}

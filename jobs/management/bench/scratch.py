"""A database of a bench's own that is gone afterwards."""

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

import psycopg
from django.core.management import call_command
from django.db import connection, connections
from django.test.utils import override_settings
from psycopg import sql

from rewire.settings import database_settings

PLACES = {"host": "HOST", "port": "PORT", "user": "USER", "password": "PASSWORD", "dbname": "NAME"}


@contextmanager
def scratch_database(beside: str = "") -> Iterator[Path]:
    """Within it, the default database is new and migrated, and pictures go into the folder that it yields.

    The database is a SQLite file there, or stands on the server of the PostgreSQL database whose address is `beside`.
    """
    with TemporaryDirectory(prefix="rewire-bench-") as folder, _made(Path(folder), beside) as made:
        before = connections["default"], connections.settings["default"]
        connections.settings["default"] = before[1] | made
        connections["default"] = connections.create_connection("default")
        try:
            with override_settings(MEDIA_ROOT=Path(folder) / "media"):
                call_command("migrate", verbosity=0)
                yield Path(folder)
        finally:
            connections["default"].close()
            connections["default"], connections.settings["default"] = before


def address() -> str:
    """The current database's, for another process."""
    here = {key: quote(str(connection.settings_dict[name]), safe="") for key, name in PLACES.items()}
    if connection.vendor == "sqlite":
        return f"sqlite:///{connection.settings_dict['NAME']}"
    return "postgresql://{user}:{password}@{host}:{port}/{dbname}".format(**here)


@contextmanager
def _made(folder: Path, beside: str) -> Iterator[dict[str, object]]:
    settings = {"TEST": {"NAME": None}} | database_settings(beside or f"sqlite:///{folder / 'bench.sqlite3'}")
    if not beside:
        yield settings
        return
    name = f"rewire_bench_{uuid.uuid4().hex[:12]}"
    given = {key: settings[place] for key, place in PLACES.items() if settings[place]}
    with psycopg.connect(**given, autocommit=True) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        try:
            yield settings | {"NAME": name}
        finally:
            server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))

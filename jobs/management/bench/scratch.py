"""A database of a bench's own, in a folder that is gone afterwards."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from django.core.management import call_command
from django.db import connections
from django.test.utils import override_settings


@contextmanager
def scratch_database() -> Iterator[Path]:
    """Within it, the default database is a new, migrated SQLite file and pictures go beside it; yields the folder."""
    with TemporaryDirectory(prefix="rewire-bench-") as folder:
        before = connections["default"], connections.settings["default"]
        connections.settings["default"] = _settings(before[1], Path(folder))
        connections["default"] = connections.create_connection("default")
        try:
            with override_settings(MEDIA_ROOT=Path(folder) / "media"):
                call_command("migrate", verbosity=0)
                yield Path(folder)
        finally:
            connections["default"].close()
            connections["default"], connections.settings["default"] = before


def _settings(before: dict[str, object], folder: Path) -> dict[str, object]:
    name = str(folder / "bench.sqlite3")
    return before | {"ENGINE": "django.db.backends.sqlite3", "NAME": name, "TEST": before["TEST"] | {"NAME": None}}

"""Firms with a row of every model, emptied installations, and archives with something wrong in them."""

import hashlib
import io
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from zipfile import ZipFile

from django.apps import apps
from django.core.files.storage import default_storage
from django.db import connection, models

from jobs.actions.firm_export import write_archive
from jobs.models import Firm
from tests.rows import Rows

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
NEVER_CARRIED = {"OutboxEntry", "SignInCode", "Device", "FirmArchive", "AttemptCount", "FirmChange"}
"""Said here again, by name: what lets somebody in, and work of the installation itself."""
MADE_ANEW = {"User": {"password"}, "SecretLink": {"token_hash"}}

Model = type[models.Model]
Members = dict[str, bytes]


def carried_models() -> list[Model]:
    return [model for model in apps.get_app_config("jobs").get_models() if model.__name__ not in NEVER_CARRIED]


def fill(firm: Firm) -> Rows:
    """A row of every model."""
    rows = Rows(firm)
    for model in apps.get_app_config("jobs").get_models():
        rows[model]
    return rows


def rows_of(model: Model) -> list[dict[str, object]]:
    """Every row in the database, column by column, without what is made anew."""
    left = MADE_ANEW.get(model.__name__, set())
    rows = model._base_manager.order_by("pk").values()
    return [{name: value for name, value in row.items() if name not in left} for row in rows]


def export(firm: Firm, to: Path) -> Path:
    with to.open("wb") as file:
        write_archive(firm=firm, to=file, now=NOW)
    return to


def empty_installation() -> None:
    """As after the first migrate: no row of anybody, no file, every table counting from 1 again."""
    tables = [model._meta.db_table for model in apps.get_app_config("jobs").get_models()]
    connection.check_constraints()
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"TRUNCATE {', '.join(tables)} RESTART IDENTITY CASCADE")
        else:
            for table in tables:
                cursor.execute(f"DELETE FROM {table}")
    for name in stored_files():
        default_storage.delete(name)


def _stored(folder: str) -> list[str]:
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return []
    inside = [name for one in folders for name in _stored(f"{folder}{one}/")]
    return [f"{folder}{name}" for name in files] + inside


def stored_files() -> list[str]:
    return sorted(_stored(""))


def read_members(path: Path) -> Members:
    with ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def with_change(path: Path, change: Callable[[Members, dict], None], *, is_listed: bool = True) -> Path:
    """The archive written again after `change(members, manifest)`; `is_listed`: its sums follow the change."""
    members = read_members(path)
    manifest = json.loads(members.pop("manifest.json"))
    change(members, manifest)
    if is_listed:
        manifest["files"] = {name: hashlib.sha256(content).hexdigest() for name, content in members.items()}
    changed = io.BytesIO()
    with ZipFile(changed, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        archive.writestr("manifest.json", json.dumps(manifest))
    written = path.with_name("changed.zip")
    written.write_bytes(changed.getvalue())
    return written

"""Reading a firm's archive back into an empty installation: whole, or not at all."""

import hashlib
import json
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from zipfile import BadZipFile, ZipFile

from django.contrib.auth.hashers import make_password
from django.core.exceptions import SuspiciousFileOperation, ValidationError
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

from jobs.models import Firm, SecretLink, User
from jobs.queries.firm_archive import (
    FORMAT,
    MANIFEST,
    Model,
    find_table,
    list_fields,
    list_file_fields,
    list_migrations,
    list_pointers,
    list_tables,
)
from jobs.queries.links import hash_token, token_of

CHUNK = 1024 * 1024
BATCH = 500
DAMAGE = (BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError)


class ArchiveError(Exception):
    """An archive that cannot be read back: which file, what is wrong, what to do."""


@dataclass(frozen=True)
class Listed:
    """An archive's own list: sums of its files, rows by table, files it could not hold."""

    files: dict[str, str]
    tables: dict[str, int]
    missing: list[str]


def import_firm(*, path: Path) -> Firm:
    """Everything the archive holds, in one transaction; files that were written are taken back when it fails.

    Raises ArchiveError before anything is changed when the archive is damaged, from a newer rewire, or when there is
    a firm here already.
    """
    if Firm.objects.exists() or User.objects.exists():
        raise ArchiveError("There is a firm here already. An archive is read back into an empty installation only.")
    try:
        with ZipFile(path) as archive:
            return _read_back(archive)
    except DAMAGE as error:
        raise ArchiveError(f"{path} cannot be read as an archive: {error}. Use another copy of it.") from error


def _read_back(archive: ZipFile) -> Firm:
    listed = _read_list(archive)
    _check_files(archive, listed)
    with _taken_back_on_failure() as keep, transaction.atomic():
        firm = _add_rows(archive, listed)
        for name in _stored_names():
            _put_file(archive, name, listed, keep)
        _move_sequences()
    return firm


def _read_list(archive: ZipFile) -> Listed:
    try:
        said = json.loads(archive.read(MANIFEST))
        version, migrations = int(said["format"]), set(said["migrations"])
        listed = Listed(dict(said["files"]), {name: int(rows) for name, rows in said["tables"].items()}, list(said["missing"]))
    except KeyError as error:
        raise ArchiveError(f"{MANIFEST} is missing or lacks {error}: this is not a firm's archive, or a part of one.") from error
    except (ValueError, TypeError, AttributeError) as error:
        raise ArchiveError(f"{MANIFEST} is damaged: {error}. Use another copy of the archive.") from error
    newer = sorted(migrations - set(list_migrations()))
    if version > FORMAT or newer:
        what = f"format {version}, this program reads up to {FORMAT}" if version > FORMAT else f"it knows {newer[-1]}"
        raise ArchiveError(f"{MANIFEST}: this archive is from a newer rewire ({what}). Install that first.")
    return listed


def _check_files(archive: ZipFile, listed: Listed) -> None:
    """Every file there is and as it was written; nothing else beside them."""
    there = set(archive.namelist()) - {MANIFEST}
    if lost := sorted(set(listed.files) - there):
        raise ArchiveError(f"{lost[0]} is missing from the archive. Use another copy of it.")
    if strange := sorted(there - set(listed.files)):
        raise ArchiveError(f"{strange[0]} is not in the archive's own list. Use another copy of it.")
    for name, total in listed.files.items():
        try:
            found = _sum_of(archive, name)
        except DAMAGE as error:
            raise ArchiveError(f"{name} is damaged: {error}. Use another copy of the archive.") from error
        if found != total:
            raise ArchiveError(f"{name} is damaged: it is not what was written. Use another copy of the archive.")


def _sum_of(archive: ZipFile, name: str) -> str:
    total = hashlib.sha256()
    with archive.open(name) as member:
        while part := member.read(CHUNK):
            total.update(part)
    return total.hexdigest()


def _add_rows(archive: ZipFile, listed: Listed) -> Firm:
    if unknown := [name for name in listed.tables if find_table(name) is None]:
        raise ArchiveError(f"json/{unknown[0]}.jsonl: this program has no such table. Install the newer rewire first.")
    firm_pk = None
    for group in list_tables():
        rows = [row for model in group for row in _read_table(archive, model, listed, firm_pk)]
        with _told_of(" and ".join(f"json/{model.__name__}.jsonl" for model in group)):
            _add_group(group, rows)
        firm_pk = firm_pk or rows[0].pk
    with _told_of("The archive's rows"):
        connection.check_constraints()
    return Firm.objects.get()


def _read_table(archive: ZipFile, model: Model, listed: Listed, firm_pk: int | None) -> Iterator[models.Model]:
    """`firm_pk` None: the table of the firm itself, which comes first."""
    name = f"json/{model.__name__}.jsonl"
    count, found = listed.tables.get(model.__name__, 0), 0
    if name in listed.files:
        with archive.open(name) as lines:
            for found, line in enumerate(lines, 1):
                row = _read_row(model, line, f"{name}, line {found}")
                if model is not Firm and row.firm_id != firm_pk:
                    raise ArchiveError(f"{name}, line {found}: the row is of another firm. Nothing was read back.")
                yield row
    if found != count:
        raise ArchiveError(f"{name} has {found} rows, its list says {count}. Use another copy of the archive.")
    if model is Firm and found != 1:
        raise ArchiveError(f"{name} has {found} rows. An archive is of one firm.")


def _read_row(model: Model, line: bytes, place: str) -> models.Model:
    fields = {field.name: field for field in list_fields(model)}
    try:
        said = dict(json.loads(line))
        if strange := [name for name in said if name not in fields]:
            raise ArchiveError(f"{place}: there is no field {strange[0]} here. Install the newer rewire first.")
        row = model(**{fields[name].attname: fields[name].to_python(value) for name, value in said.items()})
    except (ValueError, TypeError, ValidationError) as error:
        raise ArchiveError(f"{place}: {_words(error)}. Nothing was read back.") from error
    if row.pk is None:
        raise ArchiveError(f"{place}: the row has no number. Nothing was read back.")
    return _with_new_secrets(row)


def _with_new_secrets(row: models.Model) -> models.Model:
    """No archive holds them: nobody can sign in before the office sets a password, and links open by new addresses."""
    if isinstance(row, User):
        row.password = make_password(None)
    if isinstance(row, SecretLink):
        row.token_hash = hash_token(token_of(row))
    return row


def _add_group(group: list[Model], rows: list[models.Model]) -> None:
    """Rows that are pointed at before those that point at them: the database looks at once."""
    pointers = {model: [field for field in list_pointers(model) if field.related_model in group] for model in group}
    placed: set[tuple[Model, int]] = set()
    while rows:
        ready = [row for row in rows if _targets(row, pointers[type(row)]) <= placed]
        if not ready:
            raise ArchiveError(f"json/{type(rows[0]).__name__}.jsonl: rows point at each other or at rows that are not there.")
        for model in group:
            model._base_manager.bulk_create([row for row in ready if type(row) is model], batch_size=BATCH)
        placed |= {(type(row), row.pk) for row in ready}
        rows = [row for row in rows if (type(row), row.pk) not in placed]


def _targets(row: models.Model, pointers: Iterable[models.Field]) -> set[tuple[Model, int]]:
    pointed = {(field.related_model, getattr(row, field.attname)) for field in pointers}
    return {(model, pk) for model, pk in pointed if pk is not None}


@contextmanager
def _told_of(place: str) -> Iterator[None]:
    try:
        with transaction.atomic():
            yield
    except (DatabaseError, ValueError, TypeError, OverflowError) as error:
        raise ArchiveError(f"{place}: {_words(error)}. Nothing was read back.") from error


def _words(error: Exception) -> str:
    return "; ".join(error.messages) if isinstance(error, ValidationError) else str(error).strip().partition("\n")[0]


def _stored_names() -> list[str]:
    found: set[str] = set()
    for model in (model for group in list_tables() for model in group):
        for field in list_file_fields(model):
            found |= set(model._base_manager.exclude(**{field.name: ""}).values_list(field.name, flat=True))
    return sorted(found)


def _put_file(archive: ZipFile, name: str, listed: Listed, keep: Callable[[str], None]) -> None:
    member = f"files/{name}"
    if member not in listed.files:
        if name in listed.missing:
            return
        raise ArchiveError(f"{member} is missing from the archive, though a row names it. Use another copy of it.")
    try:
        if default_storage.exists(name):
            raise ArchiveError(f"{name} lies in the folder of photos already. Empty that folder first.")
        with archive.open(member) as content:
            stored = default_storage.save(name, File(content))
    except (SuspiciousFileOperation, OSError) as error:
        raise ArchiveError(f"{member} cannot be put back: {error}. Nothing was read back.") from error
    keep(stored)


@contextmanager
def _taken_back_on_failure() -> Iterator[Callable[[str], None]]:
    stored: list[str] = []
    try:
        yield stored.append
    except BaseException:
        for name in stored:
            default_storage.delete(name)
        raise


def _move_sequences() -> None:
    """New rows get numbers after those that came with the archive."""
    tables = [model for group in list_tables() for model in group]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), tables):
            cursor.execute(statement)

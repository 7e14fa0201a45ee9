"""A firm's whole data as one archive: each table for spreadsheets (CSV) and for programs (JSON), and every file."""

import csv
import hashlib
import io
import json
import tempfile
from collections.abc import Callable, Iterable
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from django.core.files.storage import default_storage
from django.db import connection, transaction

from jobs.core.survey_file.writing import guarded
from jobs.models import Firm
from jobs.queries.firm_archive import (
    FORMAT,
    MANIFEST,
    README,
    Model,
    iterate_rows,
    list_fields,
    list_migrations,
    list_tables,
    stored_names,
)

ABOUT = """{name}: the firm's whole data, as of {made_at}

csv/     one table each, for spreadsheets. The first row names the columns; a column such as "room" holds the
         number ("id") of a row in that table. Words that a spreadsheet would take for a formula have a ' before them.
json/    the same tables, one row on a line (JSON Lines). This is what is read back.
files/   photos and printed packs, under the names the tables give.
{manifest} lists every file with its SHA-256 sum and every table with its rows.

To read it back, on a new and empty installation:   python3 manage.py import_firm FILE.zip
It is read back whole or not at all. Rows keep their numbers, so labels and notes that name them stay right.

Not in here: passwords, and whatever lets phones and links in. After reading back, set a password for each person of
the office (python3 manage.py changepassword NAME), let phones in anew, and hand out the new addresses of pages and
calendars. Messages that waited to be sent are not sent again. Addresses of people's own calendars are in here: they
open those calendars, so keep this file as you would keep keys.

Tables ({rows} rows):
{tables}
{missing}"""
CHUNK = 1024 * 1024


@dataclass
class Written:
    """What an archive came to hold: sums of its files, rows by table, files that the disk no longer had."""

    files: dict[str, str] = field(default_factory=dict)
    tables: dict[str, int] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)


def write_archive(*, firm: Firm, to: IO[bytes], now: datetime) -> Written:
    """The rows as they are at one moment; files after the rows, as a file is there before its row."""
    written = Written()
    with ZipFile(to, "w", ZIP_DEFLATED) as archive:
        with _one_moment():
            names = _write_tables(archive, firm, written)
        for name in sorted(set(names)):
            _write_file(archive, name, written)
        _write_words(archive, README, _about(firm, written, now), written)
        _write_words(archive, MANIFEST, _manifest(firm, written, now), None)
    return written


@contextmanager
def _one_moment() -> object:
    is_outermost = not connection.in_atomic_block
    with transaction.atomic():
        if is_outermost and connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


def _write_tables(archive: ZipFile, firm: Firm, written: Written) -> list[str]:
    """The names of the files that the rows name."""
    names: list[str] = []
    for model in (model for group in list_tables() for model in group):
        with tempfile.TemporaryFile() as table:
            names += _write_table(archive, firm, model, table, written)
            table.seek(0)
            _copy_in(archive, f"csv/{model.__name__}.csv", table, written)
    return names


def _write_table(archive: ZipFile, firm: Firm, model: Model, table: IO[bytes], written: Written) -> list[str]:
    sheet = io.TextIOWrapper(table, encoding="utf-8-sig", newline="", write_through=True)
    lines = csv.writer(sheet)
    lines.writerow([one.name for one in list_fields(model)])
    names: list[str] = []
    count = 0
    with _member(archive, f"json/{model.__name__}.jsonl", written) as write:
        for row in iterate_rows(firm, model):
            write(json.dumps(row, ensure_ascii=False).encode() + b"\n")
            lines.writerow([_cell(value) for value in row.values()])
            names += stored_names(model, [row])
            count += 1
    written.tables[model.__name__] = count
    sheet.detach()
    return names


def _cell(value: object) -> object:
    """Text as a spreadsheet shows it and never works it out."""
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    return guarded(value) if isinstance(value, str) else value


def _write_file(archive: ZipFile, name: str, written: Written) -> None:
    try:
        opened = default_storage.open(name)
    except FileNotFoundError:
        written.missing.append(name)
        return
    with opened:
        _copy_in(archive, f"files/{name}", opened, written, is_packed=True)


def _write_words(archive: ZipFile, name: str, words: str, written: Written | None) -> None:
    _copy_in(archive, name, io.BytesIO(words.encode()), written)


def _copy_in(archive: ZipFile, name: str, source: IO[bytes], written: Written | None, *, is_packed: bool = False) -> None:
    with _member(archive, name, written, is_packed=is_packed) as write:
        while part := source.read(CHUNK):
            write(part)


@contextmanager
def _member(archive: ZipFile, name: str, written: Written | None, *, is_packed: bool = False) -> Iterable[Callable]:
    """A file of the archive, and its sum once it is whole; photos do not shrink and are stored as they are."""
    info = ZipInfo(name)
    info.compress_type = ZIP_STORED if is_packed else ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    total = hashlib.sha256()
    with archive.open(info, "w", force_zip64=True) as member:

        def write(part: bytes) -> None:
            total.update(part)
            member.write(part)

        yield write
    if written is not None:
        written.files[name] = total.hexdigest()


def _about(firm: Firm, written: Written, now: datetime) -> str:
    tables = "\n".join(f"  {name}: {count}" for name, count in sorted(written.tables.items()))
    missing = "\n".join(["", "Named by a row, but no longer on the disk:", *written.missing]) if written.missing else ""
    return ABOUT.format(
        name=firm.name, made_at=f"{now:%Y-%m-%d %H:%M %Z}", manifest=MANIFEST, rows=sum(written.tables.values()),
        tables=tables, missing=missing,
    )


def _manifest(firm: Firm, written: Written, now: datetime) -> str:
    said = {
        "format": FORMAT, "made_at": now.isoformat(), "firm": firm.name, "migrations": list_migrations(),
        "tables": written.tables, "files": written.files, "missing": written.missing,
    }
    return json.dumps(said, ensure_ascii=False, indent=1)

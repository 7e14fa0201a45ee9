"""Making a backup and proving it."""

import fcntl
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.db import connection

from jobs.backups.databases import Content, copier, live_content
from jobs.backups.manifest import NAME, SUFFIXES, BackupError, Manifest, list_manifests, sha256_of


def make_backup(*, folder: Path, keep: int, now: datetime) -> Manifest:
    """Copy everything into the folder, prove the copy by reading it back, and let go of all but the newest `keep`.

    Raises BackupError; an unproved copy does not stay.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with _alone_in(folder):
        path = folder / f"{now.astimezone(UTC):{NAME}}.json"
        database = path.with_suffix(SUFFIXES[connection.vendor])
        try:
            content = _copy_database(database)
        except BaseException:
            database.unlink(missing_ok=True)
            raise
        manifest = Manifest(
            made_at=now.isoformat(),
            vendor=connection.vendor,
            database_sha256=sha256_of(database),
            rows=content.rows,
            migrations=content.migrations,
            photos=_copy_photos(folder / "photos"),
            path=path,
        )
        manifest.write()
        _let_go(folder, keep)
    return manifest


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    with (folder / ".lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise BackupError(f"Another backup is being made in {folder}. Wait for it to end.") from error
        yield


def _copy_database(path: Path) -> Content:
    if path.exists():
        raise BackupError(f"{path} is there already. Wait a second and try again.")
    before = live_content()
    copier(connection.vendor).copy_out(path)
    after = live_content()
    copied = copier(connection.vendor).look_at(path)
    _compare(copied, before, after)
    return copied


def _compare(copied: Content, before: Content, after: Content) -> None:
    """People may work meanwhile: a table's rows lie between what was there before and what is there after."""
    if copied.migrations != before.migrations or copied.rows.keys() != before.rows.keys():
        raise BackupError("The copy does not have the tables of the database. Make the backup again.")
    for table, rows in copied.rows.items():
        least, most = sorted((before.rows[table], after.rows[table]))
        if not least <= rows <= most:
            raise BackupError(f"The copy has {rows} rows of {table}, the database {most}. Make the backup again.")


def _copy_photos(kept: Path) -> dict[str, str]:
    """Photos after the database: a photo's file is there before its row."""
    sums, root = {}, Path(settings.MEDIA_ROOT)
    for file in sorted(path for path in root.rglob("*") if path.is_file()):
        name = file.relative_to(root).as_posix()
        sums[name] = sha256_of(file)
        if not (kept / name).exists() or sha256_of(kept / name) != sums[name]:
            _copy_whole(file, kept / name)
    return sums


def _copy_whole(file: Path, to: Path) -> None:
    to.parent.mkdir(parents=True, exist_ok=True)
    unfinished = to.with_name(to.name + ".part")
    shutil.copyfile(file, unfinished)
    unfinished.replace(to)


def _let_go(folder: Path, keep: int) -> None:
    manifests = list_manifests(folder)
    for old in manifests[: -max(keep, 1)]:
        old.path.unlink()
        old.database_path.unlink(missing_ok=True)
    wanted = {name for manifest in manifests[-max(keep, 1) :] for name in manifest.photos}
    for file in list((folder / "photos").rglob("*")):
        if file.is_file() and file.relative_to(folder / "photos").as_posix() not in wanted:
            file.unlink()

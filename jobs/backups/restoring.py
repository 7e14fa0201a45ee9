"""Bringing a backup back."""

import shutil
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from jobs.backups.databases import copier, live_content
from jobs.backups.manifest import BackupError, Manifest, read_manifest, sha256_of


def restore(path: Path) -> Manifest:
    """Put the database and the photos of a backup in place of what is there; its list is compared before and after.

    Raises BackupError before anything is changed when the backup is damaged, of another kind of database, or from a
    newer rewire. Whoever calls this migrates afterwards, as the backup may be from an older one.
    """
    manifest = read_manifest(path)
    _check(manifest)
    copier(manifest.vendor).copy_back(manifest.database_path)
    _put_photos_back(manifest)
    if live_content().rows != manifest.rows:
        raise BackupError("The database is back, but its rows differ from the backup's list. Was the server running?")
    return manifest


def _check(manifest: Manifest) -> None:
    if manifest.vendor != connection.vendor:
        raise BackupError(f"This backup is of {manifest.vendor}, the database here is {connection.vendor}. Set DATABASE_URL.")
    newer = set(manifest.migrations.items()) - set(MigrationLoader(None).disk_migrations)
    if newer:
        raise BackupError(f"This backup is from a newer rewire ({sorted(newer)[0][1]}). Install that first.")
    _check_file(manifest.database_path, manifest.database_sha256)
    for name, sha256 in manifest.photos.items():
        _check_file(manifest.photo_folder / name, sha256)


def _check_file(path: Path, sha256: str) -> None:
    if not path.is_file():
        raise BackupError(f"{path} is missing. Use another backup.")
    if sha256_of(path) != sha256:
        raise BackupError(f"{path} is damaged: it is not the file that was backed up. Use another backup.")


def _put_photos_back(manifest: Manifest) -> None:
    for name, sha256 in manifest.photos.items():
        to = Path(settings.MEDIA_ROOT) / name
        if not to.is_file() or sha256_of(to) != sha256:
            to.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(manifest.photo_folder / name, to)

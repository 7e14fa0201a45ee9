"""Backups of a whole installation: the database, the photos, and a list that says what must come back.

A backup is a list (`2026-11-25T020000Z.json`) beside a copy of the database of the same name. Photos never change, so
all backups in a folder share one `photos` folder; each list names its own with their sums.
"""

from jobs.backups.making import make_backup
from jobs.backups.manifest import BackupError, Manifest, list_manifests
from jobs.backups.restoring import restore

__all__ = ["BackupError", "Manifest", "list_manifests", "make_backup", "restore"]

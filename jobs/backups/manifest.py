"""The list that belongs to a backup."""

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

NAME = "%Y-%m-%dT%H%M%SZ"
SUFFIXES = {"sqlite": ".sqlite3", "postgresql": ".dump"}


class BackupError(Exception):
    """A backup that cannot be made or restored: what is wrong and what to do, in words."""


@dataclass(frozen=True)
class Manifest:
    """What a backup holds.

    `rows`: rows by table; `photos`: SHA-256 of each photo by its name; `migrations`: the newest of each app.
    """

    made_at: str
    vendor: str
    database_sha256: str
    rows: dict[str, int]
    migrations: dict[str, str]
    photos: dict[str, str]
    path: Path | None = None

    @property
    def database_path(self) -> Path:
        return self.path.with_suffix(SUFFIXES[self.vendor])

    @property
    def photo_folder(self) -> Path:
        return self.path.parent / "photos"

    @property
    def made(self) -> datetime:
        return datetime.fromisoformat(self.made_at)

    def write(self) -> None:
        fields = asdict(self) | {"path": None}
        unfinished = self.path.with_suffix(".part")
        unfinished.write_text(json.dumps(fields, indent=1, sort_keys=True), encoding="utf-8")
        unfinished.replace(self.path)


def read_manifest(path: Path) -> Manifest:
    try:
        return Manifest(**json.loads(path.read_text(encoding="utf-8")) | {"path": path})
    except OSError as error:
        raise BackupError(f"{path} cannot be read: {error.strerror}. Name the .json file of a backup.") from error
    except (ValueError, TypeError) as error:
        raise BackupError(f"{path} is not the list of a backup. Name the .json file of one.") from error


def list_manifests(folder: Path) -> list[Manifest]:
    """Every backup in a folder, oldest first; a list that cannot be read is left out."""
    found = []
    for path in sorted(folder.glob("*.json")):
        try:
            found.append(read_manifest(path))
        except BackupError:
            continue
    return found


def sha256_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

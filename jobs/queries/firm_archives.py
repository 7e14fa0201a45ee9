"""A firm's archives as its office sees them."""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import Firm, FirmArchive
from jobs.queries.background import Work, load_work


@dataclass(frozen=True)
class ArchiveRow:
    archive: FirmArchive
    work: Work | None

    @property
    def is_ready(self) -> bool:
        return self.archive.made_at is not None

    @property
    def is_pending(self) -> bool:
        return self.work is not None and not self.work.is_given_up

    @property
    def megabytes(self) -> float | None:
        """None when the file is gone from the disk."""
        try:
            return self.archive.file.size / 1_000_000
        except (FileNotFoundError, ValueError):
            return None


def work_key(archive: FirmArchive) -> str:
    return f"firm_archive:{archive.pk}"


def list_archives(firm: Firm, now: datetime) -> list[ArchiveRow]:
    """Those that may still be taken and those being made, newest first."""
    rows = FirmArchive.objects.filter(firm=firm).exclude(expires_at__lte=now).select_related("asked_by__person")
    return [_row(row) for row in rows]


def find_pending(firm: Firm) -> FirmArchive | None:
    waiting = FirmArchive.objects.filter(firm=firm, made_at=None)
    return next((row for row in waiting if _row(row).is_pending), None)


def _row(archive: FirmArchive) -> ArchiveRow:
    return ArchiveRow(archive, None if archive.made_at else load_work(work_key(archive)))

"""Make a backup now; `manage.py serve` and the workers make one every night."""

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.backups import BackupError, make_backup


class Command(BaseCommand):
    help = "Copy the database and the photos into a folder, and prove the copy by reading it back."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", type=Path, default=settings.BACKUP_DIR, metavar="FOLDER", help="default: %(default)s")
        parser.add_argument("--keep", type=int, default=settings.BACKUPS_KEPT, metavar="N", help="default: %(default)s")

    def handle(self, *, to: Path, keep: int, **options: object) -> None:
        try:
            made = make_backup(folder=to, keep=keep, now=timezone.now())
        except (BackupError, OSError) as error:
            raise CommandError(f"No backup was made. {error}") from error
        rows, photos = sum(made.rows.values()), len(made.photos)
        self.stdout.write(f"{made.path} lists {rows} rows and {photos} photo files. The copy was read back and agrees.")

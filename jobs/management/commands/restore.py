"""Bring a backup back."""

from argparse import ArgumentParser
from pathlib import Path

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from jobs.backups import BackupError, restore
from jobs.models import Firm


class Command(BaseCommand):
    help = "Put a backup in place of the database and the photos. Stop the server first, and start it afterwards."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("list", type=Path, help="the .json file of a backup")
        parser.add_argument("--replace", action="store_true", help="put it in place of the firms that are there now")

    def handle(self, *, list: Path, replace: bool, **options: object) -> None:
        if not replace and _has_firms():
            raise CommandError("There are firms in this database already. To put the backup in their place, add --replace.")
        try:
            restored = restore(list)
        except (BackupError, OSError) as error:
            raise CommandError(str(error)) from error
        call_command("migrate", verbosity=0)
        made, photos = f"{restored.made:%Y-%m-%d %H:%M} UTC", len(restored.photos)
        self.stdout.write(f"The backup of {made} is back, {photos} photo files with it.")


def _has_firms() -> bool:
    return Firm._meta.db_table in connection.introspection.table_names() and Firm.objects.exists()

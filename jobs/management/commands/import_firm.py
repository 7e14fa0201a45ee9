"""Read a firm's archive back."""

from argparse import ArgumentParser
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from jobs.actions.firm_import import ArchiveError, import_firm
from jobs.models import Role, User


class Command(BaseCommand):
    help = "Read a firm's archive back into an empty installation: whole, or not at all."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.zip")

    def handle(self, *, file: Path, **options: object) -> None:
        try:
            firm = import_firm(path=file)
        except ArchiveError as error:
            raise CommandError(f"{error}") from error
        self.stdout.write(f"{firm} is back, whole. Links have new addresses, and phones are let in anew. Now set passwords:")
        for name in User.objects.filter(firm=firm, role=Role.OFFICE, is_active=True).values_list("username", flat=True):
            self.stdout.write(f"  python3 manage.py changepassword {name}")

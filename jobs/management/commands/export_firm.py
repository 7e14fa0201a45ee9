"""A firm's whole data as one archive."""

from argparse import ArgumentParser
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.actions.firm_export import write_archive
from jobs.models import Firm
from rewire.named_firm import work_for


class Command(BaseCommand):
    help = "Write everything of one firm into an archive: each table as CSV and JSON, photos, and a README."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("firm", help="the firm's name, or its number")
        parser.add_argument("--to", type=Path, required=True, metavar="FILE.zip")

    def handle(self, *, firm: str, to: Path, **options: object) -> None:
        found = _find(firm)
        if to.exists():
            raise CommandError(f"{to} is there already. Name another file.")
        unfinished = to.with_name(to.name + ".part")
        try:
            with work_for(found.pk), unfinished.open("wb") as file:
                written = write_archive(firm=found, to=file, now=timezone.now())
            unfinished.replace(to)
        except OSError as error:
            raise CommandError(f"{to} cannot be written: {error.strerror}.") from error
        finally:
            unfinished.unlink(missing_ok=True)
        files = sum(name.startswith("files/") for name in written.files)
        self.stdout.write(f"{to} holds {sum(written.tables.values())} rows and {files} files of {found}.")
        for name in written.missing:
            self.stderr.write(f"{name} is named by a row, but is no longer on the disk.")


def _find(said: str) -> Firm:
    firms = list(Firm.objects.filter(name=said)) or list(Firm.objects.filter(pk=int(said)) if said.isdecimal() else [])
    if len(firms) != 1:
        known = ", ".join(f"{row.pk} = {row.name}" for row in Firm.objects.order_by("pk")) or "none"
        raise CommandError(f"“{said}” names {len(firms)} firms. There are: {known}.")
    return firms[0]

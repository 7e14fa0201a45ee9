"""Measure, and print what came out; the last line is JSON."""

from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from jobs.management.bench import BenchError, calendars, guards, pages, planning, risk, scale, stores, weeks

BENCHES = {
    "planning": planning, "weeks": weeks, "risk": risk, "pages": pages, "stores": stores, "calendars": calendars,
    "scale": scale, "guards": guards,
}


class Command(BaseCommand):
    help = "Measure a part of rewire beside an outside yardstick."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parts = parser.add_subparsers(dest="part", required=True, metavar="PART")
        for name, bench in BENCHES.items():
            bench.add_arguments(parts.add_parser(name, help=bench.HELP))

    def handle(self, *, part: str, **options: object) -> None:
        try:
            BENCHES[part].run(self._tell, **options)
        except BenchError as error:
            raise CommandError(str(error)) from error

    def _tell(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

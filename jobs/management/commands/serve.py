"""`manage.py serve`: the real thing, on one machine, in one process."""

from argparse import ArgumentParser

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command
from django.core.wsgi import get_wsgi_application

from jobs import serving


class Command(BaseCommand):
    help = "Serve rewire, with its background work, from this one process."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (default: %(default)s)")

    def handle(self, *, host: str, port: int, verbosity: int, **options: object) -> None:
        self.stdout.write("Bringing the database up to date ...")
        call_command("migrate", verbosity=max(verbosity - 1, 0), interactive=False)
        if settings.STATIC_ROOT:
            call_command("collectstatic", verbosity=0, interactive=False)
        self.stdout.write(f"Serving on http://{host}:{port}/ - stop with Ctrl-C.{self._https_note()}")
        try:
            serving.serve(get_wsgi_application(), host=host, port=port)  # made now: it lists the static files
        except OSError as error:
            raise CommandError(f"Cannot listen on {host}:{port} ({error.strerror}). Try another --port.") from error

    def _https_note(self) -> str:
        if not settings.HTTPS:
            return ""
        return (
            f"\nPeople reach it as {settings.SITE_URL} through a proxy at {settings.TRUSTED_PROXY} that adds HTTPS and "
            "sends X-Forwarded-Proto and X-Forwarded-For. (Without HTTPS, in a trusted network only: REWIRE_HTTPS=0.)"
        )

"""`manage.py runner`: background work in a process of its own, beside several web processes."""

import signal
import threading

from django.core.management import BaseCommand

from jobs.runner import Runner

LOOK_EVERY_SECONDS = 2
"""Other processes cannot wake this one, so it looks often."""


class Command(BaseCommand):
    help = "Do background work here, for web processes that were started without `manage.py serve`."

    def handle(self, **options: object) -> None:
        stopped = threading.Event()
        signal.signal(signal.SIGTERM, lambda *_: stopped.set())
        runner = Runner(look_every_seconds=LOOK_EVERY_SECONDS)
        runner.start()
        self.stdout.write("Background work is being done here - stop with Ctrl-C.")
        try:
            stopped.wait()
        except KeyboardInterrupt:
            self.stdout.write("Finishing the work in hand ...")
        runner.stop()

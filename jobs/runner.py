"""Threads that do background work inside the serving process, or in one of their own (`manage.py runner`)."""

import logging
import threading

from django.conf import settings
from django.db import connections
from django.utils import timezone

from jobs import checkpoints, messenger, outbox

SWEEP_SECONDS = 20
log = logging.getLogger(__name__)


class Runner:
    """Does what is due as soon as this process hears of it, and looks for what others left every few seconds.

    Two threads, so that a long planning run does not hold up a notice; leases keep them apart.
    """

    def __init__(self, *, threads: int = 2, look_every_seconds: float = SWEEP_SECONDS) -> None:
        self._look_every_seconds = look_every_seconds
        self._is_stopping = False
        self._threads = [threading.Thread(target=self._work, name=f"runner-{n}") for n in range(threads)]

    def start(self) -> None:
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """Finish the entries being worked on, then stop."""
        self._is_stopping = True
        while any(thread.is_alive() for thread in self._threads):
            messenger.work_arrived.set()
            self._threads[0].join(0.05)

    def _work(self) -> None:
        while not self._is_stopping:
            work_once()
            messenger.work_arrived.wait(self._look_every_seconds)
            messenger.work_arrived.clear()


def work_once() -> None:
    """One round; whatever goes wrong is told to the log and left to the next round."""
    try:
        outbox.lay_schedule(timezone.now())
        outbox.sweep() if settings.REDIS_URL else outbox.run_due()
        checkpoints.checkpoint_if_long()
    except Exception:
        log.exception("Background work stopped short; the next round goes on.")
    finally:
        connections.close_all()

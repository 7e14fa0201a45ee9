"""Celery application: `celery -A rewire worker`, with REDIS_URL set."""

import logging
import os
import threading

from celery import Celery
from celery.signals import celeryd_init, worker_ready

SWEEP_SECONDS = 20
log = logging.getLogger(__name__)

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "rewire.settings")
app = Celery("rewire")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@celeryd_init.connect
def wait_for_the_broker(conf: object, **kwargs: object) -> None:
    """A worker waits long for messages; only those who send them must not."""
    conf.broker_transport_options = {}


@worker_ready.connect
def start_sweeping(**kwargs: object) -> None:
    """Every worker sweeps, so no scheduler has to run beside them; more than one does no harm."""
    threading.Thread(target=_sweep_for_ever, daemon=True).start()


def _sweep_for_ever() -> None:
    pause = threading.Event()
    while True:
        _send_sweep()
        pause.wait(SWEEP_SECONDS)


def _send_sweep() -> None:
    try:
        app.send_task("jobs.tasks.sweep", expires=SWEEP_SECONDS)
    except Exception as error:
        log.warning("The broker does not answer (%s); sweeping later.", type(error).__name__)

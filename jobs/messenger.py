"""Tells whoever does background work that there is some. Losing a message is harmless: sweeps find the work anyway."""

import logging
import threading
import time

from django.conf import settings

BROKER_REST_SECONDS = 30
"""How long a broker that failed is left alone, so that its trouble does not slow every page down."""

work_arrived = threading.Event()
"""Wakes the runner threads of this process."""

_broker_rests_until = 0.0
log = logging.getLogger(__name__)


def tell(entry_pk: int) -> bool:
    """Pass on that an entry is due; True when somebody could be told. Never raises."""
    if not settings.REDIS_URL:
        work_arrived.set()
        return True
    return time.monotonic() >= _broker_rests_until and _tell_celery(entry_pk)


def _tell_celery(entry_pk: int) -> bool:
    from rewire.celery import app  # late: without Redis no web process needs Celery

    try:
        app.send_task("jobs.tasks.run_outbox_entry", args=[entry_pk])
    except Exception as error:
        _rest(error)
        return False
    return True


def _rest(error: Exception) -> None:
    global _broker_rests_until
    _broker_rests_until = time.monotonic() + BROKER_REST_SECONDS
    log.warning("The broker does not answer (%s); trying again in %s s.", type(error).__name__, BROKER_REST_SECONDS)

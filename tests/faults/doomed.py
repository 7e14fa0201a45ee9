"""One step of the program in a process of its own that is killed before, while or after it does it."""

import os
import signal
import time
import traceback
from collections.abc import Callable
from enum import StrEnum

from django.db import connections

LONGEST_STEP_SECONDS = 30


class Kill(StrEnum):
    """When the process dies by SIGKILL."""

    NEVER = "never"
    DURING = "during"
    UNACKNOWLEDGED = "after all was written, before anybody heard of it"


def do(step: Callable[[], object], kill: Kill, *, after_ms: int = 0) -> bool:
    """Run `step` in a child with its own connection to the database; whether the child could say that it was done.

    With DURING the child is killed `after_ms` milliseconds after it began, wherever it is then.
    """
    connections.close_all()
    heard, says = os.pipe()
    child = os.fork()
    if not child:
        _be_the_child(step, kill, says)
    os.close(says)
    if kill == Kill.DURING:
        time.sleep(after_ms / 1000)
        os.kill(child, signal.SIGKILL)
    try:
        return os.read(heard, 1) == b"1"
    finally:
        os.close(heard)
        os.waitpid(child, 0)


def _be_the_child(step: Callable[[], object], kill: Kill, says: int) -> None:
    """Never returns: what it would clean up belongs to the parent."""
    try:
        signal.alarm(LONGEST_STEP_SECONDS)
        step()
        if kill == Kill.UNACKNOWLEDGED:
            os.kill(os.getpid(), signal.SIGKILL)
        os.write(says, b"1")
    except Exception:
        traceback.print_exc()
    finally:
        os._exit(1)

"""Other processes on the test's own database: runners and Celery workers that a test may kill."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection

from rewire.bootstrap import ROOT
from tests.services import die_with_parent

PATIENCE_SECONDS = 180


@contextmanager
def process(*arguments: str, log: Path, variables: dict[str, str] | None = None) -> Iterator[subprocess.Popen]:
    """`python ARGUMENTS` in a process group of its own, on the test's database unless `variables` say otherwise."""
    with log.open("ab") as output:
        started = subprocess.Popen(
            [sys.executable, *arguments],
            cwd=ROOT,
            env=os.environ | (variables or environment()),
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            preexec_fn=die_with_parent,
        )
    try:
        yield started
    finally:
        kill_group(started)


def environment(redis_url: str = "") -> dict[str, str]:
    return {
        "REWIRE_DEBUG": "1",
        "DJANGO_SETTINGS_MODULE": "rewire.settings",
        "DATABASE_URL": database_url(),
        "REDIS_URL": redis_url,
        "REWIRE_BACKUPS_KEPT": "0",  # the database under test is made without migrations
    }


def database_url() -> str:
    database = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{database['NAME']}"
    return "postgresql://{USER}@{HOST}:{PORT}/{NAME}".format(**database)


def kill_group(started: subprocess.Popen) -> None:
    """SIGKILL to the process and its children; none of them gets to tidy up."""
    if started.poll() is None:
        os.killpg(started.pid, signal.SIGKILL)
        started.wait()


def wait_for(is_so: Callable[[], bool], what: str, log: Path, by: subprocess.Popen | None = None) -> None:
    """Wait until `is_so`; fail with the log after three minutes, or as soon as the process that should do it has ended."""
    ends_at = time.monotonic() + PATIENCE_SECONDS
    while not is_so():
        has_ended = by is not None and by.poll() is not None
        if has_ended or time.monotonic() > ends_at:
            raise AssertionError(f"{what} did not happen.\n{log.read_text()[-4000:]}")
        time.sleep(0.05)

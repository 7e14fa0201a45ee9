"""The product's web server as a process of its own, so that a test can kill it and start it again."""

import os
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.error import URLError

from django.conf import settings
from django.db import connection

from tests.services import die_with_parent, free_port

START_SECONDS = 30


class KillableServer:
    """Serves the test's own database on one port for as long as it is running."""

    def __init__(self, folder: Path) -> None:
        self.port = free_port()
        self.url = f"http://localhost:{self.port}"
        self._folder = folder
        self._process: subprocess.Popen | None = None

    def start(self) -> None:
        """Start it, unless it is running."""
        if self._process:
            return
        command = [sys.executable, "-m", "waitress", f"--listen=127.0.0.1:{self.port}", "rewire.wsgi:application"]
        with (self._folder / "server.log").open("ab") as log:
            self._process = subprocess.Popen(
                command, cwd=settings.BASE_DIR, stdout=log, stderr=log, env=self._environment(),
                start_new_session=True, preexec_fn=die_with_parent,
            )
        self._wait()

    def kill(self) -> None:
        if self._process:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def _environment(self) -> dict[str, str]:
        return os.environ | {
            "DJANGO_SETTINGS_MODULE": "rewire.settings", "REWIRE_DEBUG": "1", "REWIRE_VAR_DIR": str(self._folder),
            "REWIRE_BACKUPS_KEPT": "0",
            "DATABASE_URL": f"sqlite:///{connection.settings_dict['NAME']}",
        }

    def _wait(self) -> None:
        ends_at = time.monotonic() + START_SECONDS
        while time.monotonic() < ends_at:
            with suppress(URLError, ConnectionError, TimeoutError):
                urllib.request.urlopen(f"{self.url}/sign-in/", timeout=5).close()
                return
            time.sleep(0.1)
        raise RuntimeError((self._folder / "server.log").read_text()[-2000:])


@contextmanager
def killable_server(folder: Path) -> Iterator[KillableServer]:
    server = KillableServer(folder)
    try:
        yield server
    finally:
        server.kill()

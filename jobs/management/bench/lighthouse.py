"""Lighthouse, run on pages of a server, in a signed-in browser; both live as long as the run."""

import json
import os
import subprocess
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import which
from threading import Thread
from time import monotonic, sleep

import waitress
from playwright.sync_api import sync_playwright

from jobs.management.bench import BenchError
from rewire.wsgi import application

HOW = "For scores, install Lighthouse 12 (npm install lighthouse@12.2.3) and name its cli/index.js in LIGHTHOUSE."
CATEGORIES = ("performance", "accessibility", "best-practices")
FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--no-first-run", "--disable-quic",
)
START_SECONDS, PATIENCE_SECONDS = 30, 180

Cookie = tuple[str, str]
"""Name and value."""


def find_lighthouse() -> Path | None:
    """The command-line file that LIGHTHOUSE names; None when it names none."""
    named = os.environ.get("LIGHTHOUSE")
    if named and not Path(named).is_file():
        raise BenchError(f"LIGHTHOUSE names {named}, which is no file. {HOW}")
    return Path(named) if named else None


def score(program: Path, paths: Iterable[str], cookie: Cookie, folder: Path) -> dict[str, dict[str, float]]:
    """Path → scores from 0 to 1 of the page, opened by whom `cookie` signs in.

    Lighthouse by itself starts a browser that nobody is signed in with; so it is handed one that is.
    """
    with served() as site, _browser(folder / "browser") as port:
        _sign_in(port, site, cookie)
        return {path: _score(program, f"{site}{path}", port, folder / "lighthouse.json") for path in paths}


def _score(program: Path, address: str, port: int, report: Path) -> dict[str, float]:
    command = [
        "node", str(program), address, "--quiet", "--no-enable-error-reporting", "--output=json",
        f"--only-categories={','.join(CATEGORIES)}", f"--output-path={report}", f"--port={port}", "--disable-storage-reset",
    ]
    _run(command)
    found = json.loads(report.read_text(encoding="utf-8"))
    if found["finalDisplayedUrl"] != address:
        raise BenchError(f"Lighthouse was led from {address} to {found['finalDisplayedUrl']}.")
    return {name: found["categories"][name]["score"] for name in CATEGORIES}


@contextmanager
def _browser(profile: Path) -> Iterator[int]:
    """A Chromium of its own; yields the port on which it takes orders."""
    command = [find_chromium(), *FLAGS, "--remote-debugging-port=0", f"--user-data-dir={profile}", "about:blank"]
    chromium = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield _wait_for_port(profile / "DevToolsActivePort")
    finally:
        chromium.terminate()
        chromium.wait(timeout=10)


def find_chromium() -> str:
    found = os.environ.get("CHROME_PATH") or which("chromium")
    if not found:
        raise BenchError("There is no Chromium. Install it, or name it in CHROME_PATH.")
    return found


def _wait_for_port(file: Path) -> int:
    ends_at = monotonic() + START_SECONDS
    while monotonic() < ends_at:
        if file.is_file() and (lines := file.read_text().splitlines()):
            return int(lines[0])
        sleep(0.1)
    raise BenchError("Chromium did not start.")


def _sign_in(port: int, site: str, cookie: Cookie) -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        browser.contexts[0].add_cookies([{"name": cookie[0], "value": cookie[1], "url": site}])


def _run(command: list[str]) -> None:
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_SECONDS)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise BenchError(f"Lighthouse did not run: {error}") from error
    if done.returncode:
        raise BenchError(f"Lighthouse did not run: {done.stderr.strip()[-500:]}")


@contextmanager
def served() -> Iterator[str]:
    server = waitress.create_server(application, host="127.0.0.1", port=0)
    thread = Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://localhost:{server.effective_port}"
    finally:
        server.close()
        thread.join(timeout=5)

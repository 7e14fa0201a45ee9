"""Lighthouse, run on a page of a server that lives as long as the run."""

import json
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import which
from threading import Thread

import waitress

from jobs.management.bench import BenchError
from rewire.wsgi import application

HOW = "For scores, install Lighthouse 12 (npm install lighthouse@12.2.3) and name its cli/index.js in LIGHTHOUSE."
CATEGORIES = ("performance", "accessibility", "best-practices")
CHROME_FLAGS = (
    "--headless=new --no-sandbox --disable-gpu --disable-background-networking --disable-component-update "
    "--disable-sync --no-first-run --disable-quic"
)
PATIENCE_SECONDS = 180


def find_lighthouse() -> Path | None:
    """The command-line file that LIGHTHOUSE names; None when it names none."""
    named = os.environ.get("LIGHTHOUSE")
    if named and not Path(named).is_file():
        raise BenchError(f"LIGHTHOUSE names {named}, which is no file. {HOW}")
    return Path(named) if named else None


def score(program: Path, path: str, cookie: str, folder: Path) -> dict[str, float]:
    """Scores from 0 to 1 of the page at `path`, opened by whom `cookie` signs in."""
    report = folder / "lighthouse.json"
    with _served() as site:
        command = [
            "node", str(program), f"{site}{path}", "--quiet", "--no-enable-error-reporting", "--output=json",
            f"--only-categories={','.join(CATEGORIES)}", f"--output-path={report}", f"--chrome-flags={CHROME_FLAGS}",
            f"--extra-headers={json.dumps({'Cookie': cookie})}",
        ]
        _run(command)
    found = json.loads(report.read_text(encoding="utf-8"))
    if found["finalDisplayedUrl"] != f"{site}{path}":
        raise BenchError(f"Lighthouse was led from {path} to {found['finalDisplayedUrl']}.")
    return {name: found["categories"][name]["score"] for name in CATEGORIES}


def _run(command: list[str]) -> None:
    chrome = {"CHROME_PATH": os.environ.get("CHROME_PATH") or which("chromium") or ""}
    try:
        done = subprocess.run(command, env=os.environ | chrome, capture_output=True, text=True, timeout=PATIENCE_SECONDS)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise BenchError(f"Lighthouse did not run: {error}") from error
    if done.returncode:
        raise BenchError(f"Lighthouse did not run: {done.stderr.strip()[-500:]}")


@contextmanager
def _served() -> Iterator[str]:
    server = waitress.create_server(application, host="127.0.0.1", port=0)
    thread = Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield f"http://localhost:{server.effective_port}"
    finally:
        server.close()
        thread.join(timeout=5)

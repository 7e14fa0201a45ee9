"""khal 0.14, a calendar for the terminal: what it shows after it took a calendar in, on London's clocks."""

import json
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from tests.readers.seen import Seen, clock_time

CONFIG = """
[calendars]
[[read]]
path = {folder}/items
[sqlite]
path = {folder}/index
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
default_timezone = Europe/London
local_timezone = Europe/London
[default]
default_calendar = read
"""
FIELDS = ("uid", "start", "end", "title", "status", "location")


def read(text: str, folder: Path) -> list[dict]:
    """Take the calendar in and list everything from 2027 to 2028."""
    (folder / "config").write_text(CONFIG.format(folder=folder))
    (folder / "feed.ics").write_bytes(text.encode())
    _run(folder, "import", "--batch", "-a", "read", str(folder / "feed.ics"))
    asked = [part for field in FIELDS for part in ("--json", field)]
    by_day = _run(folder, "list", "--once", *asked, "2027-01-01", "2028-12-31").splitlines()
    return [event for line in by_day for event in json.loads(line)]


def _run(folder: Path, *arguments: str) -> str:
    command = [str(Path(sys.executable).with_name("khal")), "-c", str(folder / "config"), *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def seen(event: dict) -> Seen:
    """It shows no sequence, and of whole days the last one."""
    return Seen(
        event["uid"], 0, event["start"], event["end"], event["title"], event["status"].strip(), event["location"]
    )


def as_shown(meant: Seen) -> Seen:
    """What was meant, as it would show it."""
    ends = clock_time(meant.ends)
    if " " not in ends:
        ends = (date.fromisoformat(ends) - timedelta(days=1)).isoformat()
    return replace(meant, sequence=0, starts=clock_time(meant.starts), ends=ends)

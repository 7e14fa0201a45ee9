"""ical.js 2.2.1 (npm), the library inside Thunderbird: what it makes of a calendar, by the VTIMEZONE the calendar brings."""

import json
import subprocess
from collections.abc import Iterable
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

from tests.programs import find_node_package, find_program
from tests.readers.seen import Seen, in_words

SCRIPT = Path(__file__).with_suffix(".mjs")


def read(texts: Iterable[str]) -> list[dict]:
    """For each calendar its method and its events, as the script beside this file gives them."""
    return json.loads(_ask(tuple(texts)))


@cache
def _ask(texts: tuple[str, ...]) -> str:
    command = [find_program("node"), str(SCRIPT), str(find_node_package("ical.js") / "dist" / "ical.js")]
    return subprocess.run(command, input=json.dumps(texts), capture_output=True, text=True, check=True).stdout


def seen(event: dict) -> Seen:
    return Seen(
        event["uid"], event["sequence"], _when(event["starts"]), _when(event["ends"]), event["summary"], event["status"],
        event["place"],
    )


def _when(given: str | dict) -> str:
    return in_words(date.fromisoformat(given) if isinstance(given, str) else datetime.fromtimestamp(given["seconds"], UTC))


def clock_times(event: dict) -> list[str]:
    """The clock times it shows in the zone the calendar describes; none for days and for moments in UTC."""
    times = [event[name] for name in ("starts", "ends")]
    return [each["clock"].replace("T", " ")[:16] for each in times if isinstance(each, dict) and each["zone"] == "Europe/London"]

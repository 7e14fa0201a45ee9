"""sabre/vobject (Debian php-sabre-vobject), the library inside several calendar servers: what it makes of a calendar.

Debian's 2.1.7 reads only line breaks of RFC 5545's escapes in text; the others are taken off here.
"""

import json
import re
import subprocess
from collections.abc import Iterable
from datetime import date, datetime
from functools import cache
from pathlib import Path

from tests.programs import find_program
from tests.readers.seen import Seen, in_words

SCRIPT = Path(__file__).with_suffix(".php")


def read(texts: Iterable[str]) -> list[dict]:
    """For each calendar its method, its events, and what the library's own check finds wrong."""
    return json.loads(_ask(tuple(texts)))


@cache
def _ask(texts: tuple[str, ...]) -> str:
    command = [find_program("php"), str(SCRIPT)]
    return subprocess.run(command, input=json.dumps(texts), capture_output=True, text=True, check=True).stdout


def seen(event: dict) -> Seen:
    return Seen(
        event["uid"], event["sequence"], _when(event["starts"]), _when(event["ends"]), _unescaped(event["summary"]),
        event["status"], _unescaped(event["place"]),
    )


def _when(text: str) -> str:
    return in_words(datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text))


def _unescaped(text: str) -> str:
    return re.sub(r"\\([\\;,])", r"\1", text)

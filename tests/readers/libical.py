"""libical, the library behind several desktop calendars, asked whether it takes a calendar as it stands.

Debian keeps its Python binding with the system's own Python, so that one is run.
"""

import json
import subprocess
from collections.abc import Iterable
from functools import cache

SYSTEM_PYTHON = "/usr/bin/python3"
SCRIPT = """
import json, sys
import gi
gi.require_version("ICalGLib", "3.0")
from gi.repository import ICalGLib

def faults(text):
    calendar = ICalGLib.Component.new_from_string(text)
    if calendar is None:
        return ["not a calendar"]
    is_allowed = ICalGLib.restriction_check(calendar)
    lines = calendar.as_ical_string().replace("\\r\\n ", "").splitlines()
    found = [line for line in lines if line.startswith("X-LIC-ERROR")]
    return found if found else [] if is_allowed else ["restriction check failed"]

json.dump([faults(text) for text in json.load(sys.stdin)], sys.stdout)
"""


def find_faults(texts: Iterable[str]) -> list[list[str]]:
    """For each calendar, what libical's parser and its check of RFC 5545's and 5546's restrictions complain about."""
    return list(map(list, _ask(tuple(texts))))


@cache
def _ask(texts: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    asked = subprocess.run([SYSTEM_PYTHON, "-c", SCRIPT], input=json.dumps(texts), capture_output=True, text=True, check=True)
    return tuple(map(tuple, json.loads(asked.stdout)))

"""No field value adds a line or a header, with and without Python's assertions."""

import json
import subprocess
import sys
from functools import cache

import pytest

from rewire.bootstrap import ROOT

pytestmark = pytest.mark.once

LINES = {
    "ATTENDEE", "BEGIN", "CALSCALE", "DESCRIPTION", "DTEND", "DTSTAMP", "DTSTART", "END", "LAST-MODIFIED", "LOCATION", "METHOD",
    "NAME", "ORGANIZER", "PRODID", "REFRESH-INTERVAL", "RRULE", "SEQUENCE", "STATUS", "SUMMARY", "TRANSP", "TZID", "TZNAME",
    "TZOFFSETFROM", "TZOFFSETTO", "UID", "VERSION", "X-MICROSOFT-CDO-BUSYSTATUS", "X-PUBLISHED-TTL", "X-WR-CALNAME",
}
HEADERS = {
    "Auto-Submitted", "Content-Transfer-Encoding", "Content-Type", "Date", "From", "In-Reply-To", "MIME-Version", "Message-ID",
    "References", "Subject", "To",
}


@cache
def written(*options: str) -> dict[str, object]:
    command = [sys.executable, *options, "-m", "tests.calendars.hostile"]
    return json.loads(subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout)


@pytest.mark.parametrize("options", [(), ("-O",)], ids=["assertions on", "assertions off"])
def test_calendars_hold_only_our_lines_when_fields_are_hostile(options):
    found = written(*options)
    assert found["is_debug"] == (not options)
    assert set(found["calendar"]) == LINES


@pytest.mark.parametrize("options", [(), ("-O",)], ids=["assertions on", "assertions off"])
def test_mails_hold_only_our_headers_when_fields_are_hostile(options):
    assert set(written(*options)["headers"]) == HEADERS

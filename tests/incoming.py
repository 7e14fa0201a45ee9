"""Mails as common calendar and mail programs send them back, written by us: templates in `tests/calendars/mails/`."""

import base64
import re
from pathlib import Path

MAILS = Path(__file__).parent / "calendars" / "mails"
SENSIBLE = {
    "organizer": "dates+1-aaaaaaaaaaaaaaaa@rewire.example", "uid": "11aa", "sequence": "0", "stamp": "20270112T100000Z",
    "partstat": "ACCEPTED", "proposed": "20270129T080000Z",
}


def read_template(name: str, **values: object) -> bytes:
    """The mail called `name` with its @PLACES@ filled; what is marked as base64 is encoded then."""
    text = (MAILS / f"{name}.eml").read_text(encoding="utf-8")
    for place, value in (SENSIBLE | values).items():
        text = text.replace(f"@{place.upper()}@", str(value))
    text = re.sub(r"@BASE64:(.*?)@END\n", lambda found: _base64(found[1]), text, flags=re.DOTALL)
    return text.replace("\n", "\r\n").encode()


def _base64(text: str) -> str:
    return base64.encodebytes(text.replace("\n", "\r\n").encode()).decode()

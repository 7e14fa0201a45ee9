"""Pages read strictly as HTML: always by html5lib, and by the Nu HTML Checker too where VNU_JAR names its jar.

The jar comes with npm (`npm install --ignore-scripts vnu-jar`) and needs Java.
"""

import json
import os
import subprocess
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

import html5lib


def find_faults(pages: Mapping[str, bytes]) -> list[str]:
    """Address → page, as sentences: where and what."""
    found = [fault for address, page in pages.items() for fault in _parse(address, page)]
    jar = os.environ.get("VNU_JAR")
    return found + _check(jar, pages) if jar else found


def _parse(address: str, page: bytes) -> list[str]:
    parser = html5lib.HTMLParser()
    parser.parse(page, transport_encoding="utf-8")
    return [f"{address} {place}: {code} {about}" for place, code, about in parser.errors]


def _check(jar: str, pages: Mapping[str, bytes]) -> list[str]:
    with TemporaryDirectory() as folder:
        files = {str(Path(folder) / f"{number}.html"): address for number, address in enumerate(pages)}
        for file, page in zip(files, pages.values(), strict=True):
            Path(file).write_bytes(page)
        done = subprocess.run(["java", "-jar", jar, "--format", "json", *files], capture_output=True, text=True)
    return [_words(files, one) for one in json.loads(done.stderr)["messages"] if _is_fault(one)]


def _is_fault(message: Mapping[str, str]) -> bool:
    """Attributes of htmx are meant: nothing else is let through."""
    return message["type"] == "error" and not message["message"].startswith("Attribute “hx-")


def _words(files: Mapping[str, str], message: Mapping[str, object]) -> str:
    address = files.get(str(message.get("url", "")).removeprefix("file:"), message.get("url"))
    return f"{address} {message.get('lastLine')}: {message['message']} {str(message.get('extract', ''))[:160]}"

"""From a bare Python to a running command: makes .venv, installs the pinned packages, goes on inside it.

Needs nothing but the standard library, and parses on old Pythons so that they get a sentence, not a traceback.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from importlib import invalidate_caches, metadata, util
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
VENV_PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
OLDEST_PYTHON = (3, 11)


def enter(requirements: Path) -> None:
    """Return once the pinned packages can be imported; if need be by starting this command again inside .venv."""
    if sys.version_info < OLDEST_PYTHON:
        sys.exit(f"rewire needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    if not missing_packages(requirements):
        return
    if Path(sys.prefix) != VENV:
        make_venv()
        go_on_inside()
    install(requirements)


def missing_packages(requirements: Path) -> list[str]:
    """The pins of a requirements file, and of those it includes, that this Python does not have."""
    missing = []
    for line in requirements.read_text().splitlines():
        if line.startswith("-r "):
            missing += missing_packages(requirements.parent / line[3:].strip())
        elif pin := re.match(r"([\w.-]+)(?:\[.*])?==(\S+)", line):
            missing += [] if installed_version(pin[1]) == pin[2] else [line]
    return missing


def installed_version(package: str) -> str | None:
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return None


def make_venv() -> None:
    if VENV_PYTHON.exists():
        return
    if not (util.find_spec("venv") and util.find_spec("ensurepip")):
        sys.exit("Python's venv module is missing. On Debian or Ubuntu: apt install python3-venv. Then run this again.")
    print("Making .venv ...", flush=True)
    if subprocess.call([sys.executable, "-m", "venv", "--clear", str(VENV)]):
        sys.exit(f"{VENV} could not be made. See above for the cause (a full disk? a folder you may not write to?).")


def install(requirements: Path) -> None:
    print(f"Installing the packages of {requirements.relative_to(ROOT)} ...", flush=True)
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "install", "--quiet", "-r", str(requirements)]
    if subprocess.call(pip):
        sys.exit("The packages could not be installed. Is there a network? If so, delete .venv; then run this again.")
    invalidate_caches()


def go_on_inside() -> None:
    command = [str(VENV_PYTHON), *sys.argv]
    if os.name == "nt":
        sys.exit(subprocess.call(command))
    os.execv(command[0], command)

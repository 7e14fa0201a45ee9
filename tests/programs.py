"""Programs the tests need beside Python: found, or installed where that is allowed."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

PROGRAMS = {"chromium": "chromium", "redis-server": "redis-server", "postgres": "postgresql"}
"""Each program and the Debian package it is in."""
FILES = {
    "/usr/lib/*/girepository-1.0/ICalGLib-3.0.typelib": "gir1.2-ical-3.0",
    "/usr/lib/python3/dist-packages/gi/__init__.py": "python3-gi",
}
"""What else the tests read, found by its files, and the Debian package it is in: libical for the system's own Python."""
DEBIAN_POSTGRES = Path("/usr/lib/postgresql")
"""Debian keeps the servers out of PATH, one folder for each version."""


class ProgramMissingError(Exception):
    """A program that the tests need is not installed."""


def find_program(name: str) -> str:
    found = shutil.which(name) or _newest_postgres_program(name)
    if not found:
        raise ProgramMissingError(f"{name} is not installed; the tests need it.")
    return found


def install_missing_programs() -> None:
    packages = [package for program, package in PROGRAMS.items() if not _is_installed(program)]
    packages += [package for pattern, package in FILES.items() if not any(Path("/").glob(pattern.lstrip("/")))]
    if not packages:
        return
    if not shutil.which("apt-get") or os.geteuid() != 0:
        sys.exit(f"The tests need {', '.join(packages)}: install them (Debian: sudo apt install {' '.join(packages)}).")
    print(f"Installing {', '.join(packages)} ...", flush=True)
    _apt("update")
    _apt("install", "--yes", "--no-install-recommends", *packages)


def _is_installed(program: str) -> bool:
    return bool(shutil.which(program) or _newest_postgres_program(program))


def _newest_postgres_program(name: str) -> str | None:
    versions = sorted(DEBIAN_POSTGRES.glob(f"*/bin/{name}"), key=lambda path: int(path.parts[-3]))
    return str(versions[-1]) if versions else None


def _apt(*arguments: str) -> None:
    command = ["apt-get", "--quiet", "--quiet", *arguments]
    if subprocess.call(command, env=os.environ | {"DEBIAN_FRONTEND": "noninteractive"}):
        sys.exit(f"apt-get {arguments[0]} failed; the tests need {', '.join([*PROGRAMS.values(), *FILES.values()])}.")

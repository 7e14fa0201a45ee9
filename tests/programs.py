"""Programs the tests need beside Python: found, or installed where that is allowed."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

PROGRAMS = {
    "chromium": "chromium", "redis-server": "redis-server", "postgres": "postgresql", "node": "nodejs", "npm": "npm",
    "php": "php-cli",
}
"""Each program and the Debian package it is in."""
FILES = {
    "/usr/share/php/Sabre/VObject/Reader.php": "php-sabre-vobject",
    "/usr/lib/*/girepository-1.0/ICalGLib-3.0.typelib": "gir1.2-ical-3.0",
    "/usr/lib/python3/dist-packages/gi/__init__.py": "python3-gi",
}
"""What else the tests read, found by its files, and the Debian package it is in: libical for the system's own Python."""
NODE_PACKAGES = {"ical.js": "2.2.1"}
"""Packages of the npm registry and their versions; no script of theirs is run."""
NODE_FOLDER = Path(sys.prefix) / "node"
"""Beside the Python packages, so that it goes with them and needs no root."""
DEBIAN_POSTGRES = Path("/usr/lib/postgresql")
"""Debian keeps the servers out of PATH, one folder for each version."""


class ProgramMissingError(Exception):
    """A program that the tests need is not installed."""


def find_program(name: str) -> str:
    found = shutil.which(name) or _newest_postgres_program(name)
    if not found:
        raise ProgramMissingError(f"{name} is not installed; the tests need it.")
    return found


def find_node_package(name: str) -> Path:
    if not _has_node_package(name, NODE_PACKAGES[name]):
        raise ProgramMissingError(f"{name} {NODE_PACKAGES[name]} is not in {NODE_FOLDER}; `manage.py test` installs it.")
    return NODE_FOLDER / "node_modules" / name


def install_missing_programs() -> None:
    _install_debian_packages()
    _install_node_packages()


def _install_debian_packages() -> None:
    packages = [package for program, package in PROGRAMS.items() if not _is_installed(program)]
    packages += [package for pattern, package in FILES.items() if not any(Path("/").glob(pattern.lstrip("/")))]
    if not packages:
        return
    if not shutil.which("apt-get") or os.geteuid() != 0:
        sys.exit(f"The tests need {', '.join(packages)}: install them (Debian: sudo apt install {' '.join(packages)}).")
    print(f"Installing {', '.join(packages)} ...", flush=True)
    _apt("update")
    _apt("install", "--yes", "--no-install-recommends", *packages)


def _install_node_packages() -> None:
    pins = [f"{name}@{version}" for name, version in NODE_PACKAGES.items() if not _has_node_package(name, version)]
    if not pins:
        return
    print(f"Installing {', '.join(pins)} ...", flush=True)
    options = ["--ignore-scripts", "--no-audit", "--no-fund", "--no-package-lock", "--silent", "--prefix", str(NODE_FOLDER)]
    NODE_FOLDER.mkdir(exist_ok=True)
    if subprocess.call([find_program("npm"), "install", *options, *pins]):
        sys.exit(f"npm install failed; the tests need {', '.join(pins)}. Is there a network?")


def _has_node_package(name: str, version: str) -> bool:
    about = NODE_FOLDER / "node_modules" / name / "package.json"
    return about.exists() and json.loads(about.read_text())["version"] == version


def _is_installed(program: str) -> bool:
    return bool(shutil.which(program) or _newest_postgres_program(program))


def _newest_postgres_program(name: str) -> str | None:
    versions = sorted(DEBIAN_POSTGRES.glob(f"*/bin/{name}"), key=lambda path: int(path.parts[-3]))
    return str(versions[-1]) if versions else None


def _apt(*arguments: str) -> None:
    command = ["apt-get", "--quiet", "--quiet", *arguments]
    if subprocess.call(command, env=os.environ | {"DEBIAN_FRONTEND": "noninteractive"}):
        sys.exit(f"apt-get {arguments[0]} failed; the tests need {', '.join([*PROGRAMS.values(), *FILES.values()])}.")

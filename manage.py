#!/usr/bin/env python3
"""Run rewire. `demo` shows it, `test` tests it, `serve` runs it for real; the rest are Django's commands."""

import os
import sys
from pathlib import Path

from rewire import bootstrap


def main(command: str) -> None:
    if command == "test":
        bootstrap.enter(bootstrap.ROOT / "tests" / "requirements.txt")
        from tests.run import run_tests

        sys.exit(run_tests(sys.argv[2:]))
    bootstrap.enter(bootstrap.ROOT / "requirements.txt")
    if command in ("demo", "bench", "pictures"):
        use_demo_settings()
    run_django()


def use_demo_settings() -> None:
    """The demo and benches never touch the firm's own database, whatever the environment says."""
    own_folder = Path(os.environ.get("REWIRE_VAR_DIR") or bootstrap.ROOT / "var") / "demo"
    os.environ |= {"REWIRE_DEBUG": "1", "REWIRE_VAR_DIR": str(own_folder), "DATABASE_URL": "", "REDIS_URL": ""}


def run_django() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "rewire.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as missing:
        sys.exit(str(missing))


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "help")

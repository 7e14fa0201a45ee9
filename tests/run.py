"""`manage.py test`: every test on SQLite, and those that reach the database on PostgreSQL too, side by side.

pytest-xdist's "each" mode gives every test to every worker, so there is one run and one summary. Two workers share the
modules for SQLite; the one for PostgreSQL leaves out what the database cannot change (see `tests.conftest`).
"""

import os
import signal
import subprocess
import sys
from tempfile import TemporaryDirectory

from rewire.bootstrap import ROOT
from tests.programs import install_missing_programs
from tests.services import die_with_parent, private_postgres

WORKERS = [
    "--dist", "each",
    "--tx", "popen//id=sqlite-0//env:REWIRE_TEST_SHARE=0",
    "--tx", "popen//id=sqlite-1//env:REWIRE_TEST_SHARE=1",
    "--tx", "popen//id=postgresql//env:REWIRE_TEST_ON=postgresql",
]


def run_tests(arguments: list[str]) -> int:
    install_missing_programs()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    with private_postgres() as postgres, TemporaryDirectory(prefix="rewire-run-", ignore_cleanup_errors=True) as folder:
        environment = os.environ | {"REWIRE_TEST_POSTGRES_URL": postgres.url, "TMPDIR": folder}
        command = [sys.executable, "-m", "pytest", *WORKERS, *arguments]
        pytest = subprocess.Popen(command, cwd=ROOT, env=environment, preexec_fn=die_with_parent)
        try:
            return pytest.wait()
        except KeyboardInterrupt:
            return 130
        finally:
            pytest.terminate()

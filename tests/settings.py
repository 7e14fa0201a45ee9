"""Settings under test: those of the product, in debug, with a database of its own for each run.

`DATABASE_URL` moves a run to PostgreSQL; `manage.py test` runs on both (see `tests.run`).
"""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

os.environ.setdefault("REWIRE_DEBUG", "1")
if os.environ.get("REWIRE_TEST_ON") == "postgresql":
    os.environ["DATABASE_URL"] = os.environ["REWIRE_TEST_POSTGRES_URL"]

from rewire.settings import *  # noqa: E402, F403
from rewire.settings import DATABASES, SQLITE_OPTIONS, STORAGES  # noqa: E402

RUN_DIR = Path(tempfile.mkdtemp(prefix="rewire-tests-"))
atexit.register(shutil.rmtree, RUN_DIR, ignore_errors=True)

MEDIA_ROOT = RUN_DIR / "media"
BACKUPS_KEPT = 0  # the nightly one; tests make their own
STORAGES["archives"]["OPTIONS"]["location"] = RUN_DIR / "archives"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file, not memory: threads and other processes must meet real locks. No sync: tests lose no power.
    DATABASES["default"]["TEST"] = {"NAME": str(RUN_DIR / "rewire.sqlite3")}
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS | {
        "init_command": SQLITE_OPTIONS["init_command"].replace("synchronous=FULL", "synchronous=OFF")
    }

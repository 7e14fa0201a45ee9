"""Checkpoints of SQLite's write-ahead log, one at a time.

SQLite 3.7.0 to 3.51.2 can corrupt the log when connections checkpoint and write at the same moment, so automatic
checkpoints are off (`rewire.settings`). Here the write lock is held while a second connection checkpoints.
"""

import sqlite3
from pathlib import Path

from django.db import connection, transaction

LONG_LOG_BYTES = 4 * 1024 * 1024
"""More than `journal_size_limit`, to which SQLite cuts the file when it starts the checkpointed log anew."""


def checkpoint_if_long() -> bool:
    """Move a long log into the database file; True when that was done. Does nothing on PostgreSQL."""
    if connection.vendor != "sqlite" or _log_bytes() < LONG_LOG_BYTES:
        return False
    checkpoint()
    return True


def checkpoint() -> None:
    second = sqlite3.connect(connection.settings_dict["NAME"])
    try:
        with transaction.atomic():
            second.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
    finally:
        second.close()


def _log_bytes() -> int:
    log = Path(f"{connection.settings_dict['NAME']}-wal")
    return log.stat().st_size if log.exists() else 0

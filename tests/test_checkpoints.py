import sqlite3
import subprocess
from pathlib import Path

import pytest
from django.db import connection

from jobs import checkpoints
from tests.factories import make_firm

pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]


def rows_without_the_log(folder: Path) -> int:
    copy = folder / "copy.sqlite3"
    # Another process copies: closing the file here would drop this process's locks on it.
    subprocess.run(["cp", connection.settings_dict["NAME"], copy], check=True)
    return sqlite3.connect(copy).execute("SELECT count(*) FROM jobs_firm").fetchone()[0]


def test_log_is_left_alone_when_it_is_short() -> None:
    checkpoints.checkpoint()
    make_firm()
    assert not checkpoints.checkpoint_if_long()


def test_log_is_short_again_when_a_change_follows_a_checkpoint() -> None:
    make_firm(address="a" * (checkpoints.LONG_LOG_BYTES + 1))
    checkpoints.checkpoint()
    make_firm()
    assert not checkpoints.checkpoint_if_long()


def test_changes_stay_in_the_log_when_nobody_checkpoints(tmp_path: Path) -> None:
    checkpoints.checkpoint()
    make_firm(address="a" * 6_000_000)  # more than the 1000 pages at which SQLite would checkpoint by itself
    assert rows_without_the_log(tmp_path) == 0


def test_changes_reach_the_database_file_when_the_log_is_long(tmp_path: Path) -> None:
    make_firm(address="a" * (checkpoints.LONG_LOG_BYTES + 1))
    assert checkpoints.checkpoint_if_long()
    assert rows_without_the_log(tmp_path) == 1

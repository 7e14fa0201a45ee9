import sqlite3

import pytest

from jobs.checks import sqlite_is_free_of_the_log_fault

pytestmark = pytest.mark.once


@pytest.mark.parametrize("version, count", [((3, 51, 2), 1), ((3, 51, 3), 0), ((3, 52, 0), 0)])
def test_old_sqlite_is_named_when_it_has_the_log_fault(
    version: tuple[int, ...], count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", version)
    assert len(sqlite_is_free_of_the_log_fault(databases=["default"])) == count


def test_nothing_is_said_when_no_database_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 40, 1))
    assert sqlite_is_free_of_the_log_fault(databases=None) == []

import sqlite3

import pytest
from django.db import connection

from jobs import checks
from jobs.checks import postgresql_holds_the_guards, sqlite_is_free_of_the_log_fault
from tests.services import KEEPER


@pytest.mark.once
@pytest.mark.parametrize("version, count", [((3, 51, 2), 1), ((3, 51, 3), 0), ((3, 52, 0), 0)])
def test_old_sqlite_is_named_when_it_has_the_log_fault(
    version: tuple[int, ...], count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", version)
    assert len(sqlite_is_free_of_the_log_fault(databases=["default"])) == count


@pytest.mark.once
def test_nothing_is_said_when_no_database_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 40, 1))
    assert sqlite_is_free_of_the_log_fault(databases=None) == []


@pytest.mark.django_db
def test_nothing_is_said_when_the_guards_hold_the_databases_role():
    assert postgresql_holds_the_guards(databases=["default"]) == []


@pytest.mark.django_db
@pytest.mark.postgresql
def test_role_is_named_when_no_guard_holds_it(monkeypatch: pytest.MonkeyPatch) -> None:
    keeper = connection.copy()
    keeper.settings_dict["USER"] = KEEPER
    monkeypatch.setattr(checks, "connection", keeper)
    try:
        (said,) = postgresql_holds_the_guards(databases=["default"])
    finally:
        keeper.close()
    assert (said.id, KEEPER in said.msg) == ("jobs.W001", True)

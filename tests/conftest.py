"""Fixtures and rules for every test."""

from collections.abc import Iterator

import pytest
from django.db import connection
from django.db.backends.sqlite3.base import DatabaseOperations
from hypothesis import settings

from tests.services import private_redis

# A busy machine is no fault of the code: no example has a deadline.
settings.register_profile("suite", deadline=None)
settings.load_profile("suite")

_sql_flush = DatabaseOperations.sql_flush


def _flush_what_is_kept(self: DatabaseOperations, *arguments: object, **options: object) -> list[str]:
    """SQLite empties tables row by row between tests, which the trail's rows withstand unless their firm forgets."""
    return ["UPDATE jobs_firm SET is_forgetting = 1", *_sql_flush(self, *arguments, **options)]


DatabaseOperations.sql_flush = _flush_what_is_kept

DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--histories", type=int, default=30, help="how many histories of phones to play through")
    parser.addoption("--nonsense", type=int, default=300, help="how many forms of the office to send filled with nonsense")


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """A Redis of this run's own."""
    with private_redis() as server:
        yield server.url


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """On PostgreSQL run only what another database can change; the run on SQLite has all the rest."""
    if connection.vendor != "postgresql":
        return
    left_out = [item for item in items if not _depends_on_database(item)]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [item for item in items if item not in left_out]


def _depends_on_database(item: pytest.Item) -> bool:
    reaches_it = item.get_closest_marker("django_db") or DATABASE_FIXTURES & set(item.fixturenames)
    runs_once = item.get_closest_marker("browser") or item.get_closest_marker("once")
    return bool(reaches_it) and not runs_once

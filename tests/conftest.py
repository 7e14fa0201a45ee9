"""Fixtures and rules for every test."""

import os
from collections.abc import Iterator
from zlib import crc32

import pytest
from django.db import connection
from django.db.backends.sqlite3.base import DatabaseOperations
from hypothesis import settings

from jobs.models import Firm, Job, User
from rewire.bootstrap import ROOT
from tests.factories import make_firm, make_job, make_office
from tests.placed_house import PlacedHouse
from tests.services import private_redis
from tests.stores import Store, make_store
from tests.told import Told, make_told

# A busy machine is no fault of the code: no example has a deadline. The same code gets the same examples, so that a run
# can be trusted; `--hypothesis-profile anew` looks for others.
settings.register_profile("suite", deadline=None, derandomize=True)
settings.register_profile("anew", deadline=None)
settings.load_profile("suite")

_sql_flush = DatabaseOperations.sql_flush


def _flush_what_is_kept(self: DatabaseOperations, *arguments: object, **options: object) -> list[str]:
    """SQLite empties tables row by row between tests, which the trail's rows withstand unless their firm forgets."""
    return ["UPDATE jobs_firm SET is_forgetting = 1", *_sql_flush(self, *arguments, **options)]


DatabaseOperations.sql_flush = _flush_what_is_kept

SHARES = 2
"""Workers that share the run on SQLite."""
DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--histories", type=int, default=30, help="how many histories of phones to play through")
    parser.addoption("--nonsense", type=int, default=300, help="how many forms of nonsense; of operations, files, mails more")


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """A Redis of this run's own."""
    with private_redis() as server:
        yield server.url


@pytest.fixture
def firm() -> Firm:
    return make_firm()


@pytest.fixture
def office(firm: Firm) -> User:
    return make_office(firm)


@pytest.fixture
def mine() -> Job:
    return make_job(make_firm(), "Mine")


@pytest.fixture
def theirs() -> Job:
    return make_job(make_firm("Another firm"), "Theirs")


@pytest.fixture
def store() -> Store:
    return make_store()


@pytest.fixture
def told() -> Told:
    return make_told()


@pytest.fixture
def house() -> PlacedHouse:
    return PlacedHouse()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """A worker of the whole run takes its share: on PostgreSQL what another database can change, on SQLite its modules."""
    is_ours = _depends_on_database if connection.vendor == "postgresql" else _is_for_sqlite
    left_out = [item for item in items if not is_ours(item)]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [item for item in items if is_ours(item)]


def _is_for_sqlite(item: pytest.Item) -> bool:
    return _is_in_share(item) and not item.get_closest_marker("postgresql")


def _is_in_share(item: pytest.Item) -> bool:
    """Whole modules, so that what they set up is set up once; all of them when nobody shares."""
    share = os.environ.get("REWIRE_TEST_SHARE")
    return share is None or crc32(str(item.path.relative_to(ROOT)).encode()) % SHARES == int(share)


def _depends_on_database(item: pytest.Item) -> bool:
    reaches_it = item.get_closest_marker("django_db") or DATABASE_FIXTURES & set(item.fixturenames)
    runs_once = item.get_closest_marker("browser") or item.get_closest_marker("once")
    return bool(reaches_it) and not runs_once

import sqlite3
from collections.abc import Iterator

import pytest
from django.db import OperationalError, connection
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import path

from jobs.models import Firm
from tests.factories import make_firm

SENTENCE_OF_BUSY = "Nothing of this was saved"


def add_firm(request: HttpRequest) -> HttpResponse:
    make_firm()
    return HttpResponse(str(Firm.objects.count()))


def fill_disk(request: HttpRequest) -> HttpResponse:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
    make_firm(address="a" * 10_000_000)
    return HttpResponse()


def count_firms(request: HttpRequest) -> HttpResponse:
    return HttpResponse(str(Firm.objects.count()))


def fill_disk_of_postgresql(request: HttpRequest) -> HttpResponse:
    raise OperationalError('could not extend file "base/5/16384": No space left on device')  # its message for SQLSTATE 53100


def divide_by_nothing(request: HttpRequest) -> HttpResponse:
    return HttpResponse(str(1 / 0))


urlpatterns = [
    path("add/", add_firm),
    path("fill/", fill_disk),
    path("fill-postgresql/", fill_disk_of_postgresql),
    path("count/", count_firms),
    path("broken/", divide_by_nothing),
]
pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True), pytest.mark.urls(__name__)]


@pytest.fixture
def impatient() -> Iterator[None]:
    """Wait half a second for the write lock, not ten."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout = 500")
    yield
    connection.close()


@pytest.fixture
def other_writer(impatient: None) -> Iterator[sqlite3.Connection]:
    """Somebody else who holds SQLite's write lock."""
    other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    yield other
    other.close()


def test_page_says_try_again_when_the_database_is_locked(other_writer: sqlite3.Connection, client: Client) -> None:
    response = client.get("/add/")
    assert (response.status_code, response["Retry-After"]) == (503, "5")
    assert SENTENCE_OF_BUSY in response.content.decode()


def test_pages_are_read_when_the_database_is_locked(other_writer: sqlite3.Connection, client: Client) -> None:
    assert client.get("/count/").content == b"0"


def test_page_saves_when_the_lock_is_gone(other_writer: sqlite3.Connection, client: Client) -> None:
    client.get("/add/")
    other_writer.execute("ROLLBACK")
    assert client.get("/add/").content == b"1"


@pytest.mark.parametrize("path", ["/fill/", "/fill-postgresql/"])
def test_phone_is_told_to_keep_its_changes_when_the_disk_is_full(impatient: None, client: Client, path: str) -> None:
    response = client.get(path)
    assert (response.status_code, response["Retry-After"]) == (507, "5")
    assert "disk is full" in response.content.decode()


def test_other_mistakes_are_not_hidden_when_they_are_no_database_trouble(client: Client) -> None:
    with pytest.raises(ZeroDivisionError):
        client.get("/broken/")

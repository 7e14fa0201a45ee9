"""`manage.py serve` as a firm starts it: a process of its own, an empty folder, real requests."""

import socket
import sqlite3
import statistics
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from threading import Thread
from urllib.parse import urlsplit

import pytest
from pytest_django import Settings

from jobs.serving import make_server
from tests.faults.processes import process, wait_for
from tests.services import free_port

pytestmark = pytest.mark.once
SETTINGS = {
    "DJANGO_SETTINGS_MODULE": "rewire.settings",
    "REWIRE_DEBUG": "0",
    "REWIRE_SECRET_KEY": "only-for-this-test-" + "x1y2z3" * 6,
    "REWIRE_ALLOWED_HOSTS": "127.0.0.1",
    "REWIRE_HTTPS": "0",
    "DATABASE_URL": "",
    "REDIS_URL": "",
}


@dataclass(frozen=True)
class Site:
    url: str
    var: Path
    log: Path


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    var, port = tmp_path_factory.mktemp("var"), str(free_port())
    site = Site(f"http://127.0.0.1:{port}", var, var / "log")
    variables = SETTINGS | {"REWIRE_VAR_DIR": str(var)}
    with process("manage.py", "serve", "--port", port, log=site.log, variables=variables) as serving:
        wait_for(lambda: "Serving on" in site.log.read_text(), "Serving", site.log, by=serving)
        wait_for(lambda: status_of(f"{site.url}/sign-in/") is not None, "The first answer", site.log, by=serving)
        yield site
        serving.terminate()
        assert serving.wait(30) == 0


def status_of(url: str, **headers: str) -> int | None:
    try:
        return urllib.request.urlopen(urllib.request.Request(url, headers=headers), timeout=30).status
    except urllib.error.HTTPError as refused:
        return refused.code
    except OSError:
        return None


def test_sign_in_is_shown_when_the_folder_was_empty(site: Site) -> None:
    assert status_of(f"{site.url}/sign-in/") == 200


def test_style_sheet_named_by_the_page_is_served_when_debug_is_off(site: Site) -> None:
    page = urllib.request.urlopen(f"{site.url}/sign-in/", timeout=30).read().decode()
    address = page.split('rel="stylesheet" href="')[1].split('"')[0]
    assert "rewire." in address
    assert status_of(site.url + address) == 200


def test_request_is_refused_when_it_is_larger_than_any_file(site: Site) -> None:
    connection = HTTPConnection(urlsplit(site.url).netloc, timeout=30)
    connection.putrequest("POST", "/sign-in/")
    connection.putheader("Content-Length", str(30 * 1024 * 1024 + 1))
    connection.endheaders()
    assert connection.getresponse().status == 413


def test_host_is_refused_when_it_is_not_allowed(site: Site) -> None:
    assert status_of(f"{site.url}/sign-in/", Host="elsewhere.example") == 400


def test_background_work_is_done_when_only_serve_runs(site: Site) -> None:
    def is_done() -> bool:
        with sqlite3.connect(site.var / "rewire.sqlite3") as database:
            return bool(database.execute("SELECT 1 FROM jobs_outboxentry WHERE state = 'done'").fetchall())

    wait_for(is_done, "The night's work", site.log)


SLOW_PHONES, READS = 20, 15


def begin_slow_upload(site: Site) -> socket.socket:
    """A phone that has sent the head of a photo and nothing of its body."""
    address = urlsplit(site.url)
    phone = socket.create_connection((address.hostname, address.port), timeout=30)
    phone.sendall(f"POST /site/photo HTTP/1.1\r\nHost: {address.netloc}\r\nContent-Length: 1000000\r\n\r\n".encode())
    return phone


def median_seconds(site: Site, phones: list[socket.socket]) -> float:
    """Of a page, while each phone sends a drop more before each reading."""
    seconds = []
    for _ in range(READS):
        for phone in phones:
            phone.sendall(b"drop")
        began = time.monotonic()
        assert status_of(f"{site.url}/sign-in/") == 200
        seconds.append(time.monotonic() - began)
    return statistics.median(seconds)


def test_page_stays_quick_when_twenty_phones_send_drop_by_drop(site: Site) -> None:
    """A server that gave each upload one of its eight threads would not answer at all until the phones are done."""
    alone = median_seconds(site, [])
    with ExitStack() as open_phones:
        beside = median_seconds(site, [open_phones.enter_context(closing(begin_slow_upload(site))) for _ in range(SLOW_PHONES)])
    assert beside < 10 * alone + 1


@pytest.mark.parametrize("name", ["REWIRE_SECRET_KEY", "REWIRE_ALLOWED_HOSTS"])
def test_serve_says_what_is_missing_when_a_setting_is_empty(name: str, tmp_path: Path) -> None:
    variables = SETTINGS | {"REWIRE_VAR_DIR": str(tmp_path), name: ""}
    with process("manage.py", "serve", log=tmp_path / "log", variables=variables) as serving:
        assert serving.wait(30) == 1
    assert (tmp_path / "log").read_text().startswith(f"{name} is not set: ")


def test_serve_says_so_when_the_port_is_taken(site: Site, tmp_path: Path) -> None:
    variables = SETTINGS | {"REWIRE_VAR_DIR": str(site.var)}
    port = site.url.rsplit(":", 1)[1]
    with process("manage.py", "serve", "--port", port, log=tmp_path / "log", variables=variables) as serving:
        assert serving.wait(60) == 1
    assert f"Cannot listen on 127.0.0.1:{port}" in (tmp_path / "log").read_text()


def scheme_and_client(environ: dict, start_response: Callable) -> list[bytes]:
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [f"{environ['wsgi.url_scheme']} {environ['REMOTE_ADDR']}".encode()]


@contextmanager
def served() -> Iterator[str]:
    server = make_server(scheme_and_client, host="127.0.0.1", port=0)
    thread = Thread(target=server.run)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}/"
    server.trigger.pull_trigger(server.close)
    server.task_dispatcher.shutdown()
    thread.join(10)


def answer_through_proxy(url: str) -> str:
    forwarded = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.7"}
    return urllib.request.urlopen(urllib.request.Request(url, headers=forwarded), timeout=10).read().decode()


@pytest.mark.parametrize(
    ("https", "proxy", "answer"),
    [
        (True, "127.0.0.1", "https 203.0.113.7"),
        (True, "192.0.2.1", "http 127.0.0.1"),
        (False, "127.0.0.1", "http 127.0.0.1"),
    ],
)
def test_forwarded_headers_count_only_when_the_trusted_proxy_sent_them(
    settings: Settings, https: bool, proxy: str, answer: str
) -> None:
    settings.HTTPS, settings.TRUSTED_PROXY = https, proxy
    with served() as url:
        assert answer_through_proxy(url) == answer

"""Reading an address given to us: real sockets on this machine, and names that lead where they must not."""

import socket
import threading
from contextlib import contextmanager

import pytest

from jobs.actions import fetching
from jobs.actions.fetching import FetchError, fetch

BODY = b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"


def everything(number: str) -> bool:
    return True


def ok(body: bytes, more: str = "") -> bytes:
    return f"HTTP/1.1 200 OK\r\nContent-Length: {len(body)}\r\n{more}\r\n".encode() + body


def leads_to(address: str) -> bytes:
    return f"HTTP/1.1 302 Found\r\nLocation: {address}\r\nContent-Length: 0\r\n\r\n".encode()


@contextmanager
def server(*answers: bytes, hangs: bool = False):
    """Gives each answer to one connection, in order; yields the port and what was asked."""
    listening, asked, done = socket.create_server(("127.0.0.1", 0)), [], threading.Event()

    def serve() -> None:
        for answer in answers:
            connection, _ = listening.accept()
            with connection:
                asked.append(connection.recv(4096).decode())
                connection.sendall(answer)
                if hangs:
                    done.wait(10)

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        yield listening.getsockname()[1], asked
    finally:
        done.set()
        listening.close()


def ask(port: int, path: str = "/term.ics", **how: object) -> bytes:
    return fetch(f"http://127.0.0.1:{port}{path}", is_allowed=everything, **how)


def test_body_comes_back_when_the_address_answers():
    with server(ok(BODY)) as (port, asked):
        assert ask(port, "/term.ics?key=1") == BODY
    assert asked[0].startswith("GET /term.ics?key=1 HTTP/1.1\r\n")
    assert f"Host: 127.0.0.1:{port}\r\n" in asked[0]


def test_body_comes_from_the_last_address_when_it_leads_on_three_times():
    with server(*[leads_to("/on")] * 3, ok(BODY)) as (port, _):
        assert ask(port) == BODY


def test_reading_stops_when_it_leads_on_a_fourth_time():
    with server(*[leads_to("/on")] * 4) as (port, _), pytest.raises(FetchError, match="more than 3 times"):
        ask(port)


@pytest.mark.parametrize(
    "address", ["http://10.0.0.1/", "http://169.254.169.254/latest/", "http://[::1]/", "file:///etc/passwd", "http://u:p@a.example/"]
)
def test_next_address_is_judged_too_when_it_leads_on(address):
    """Only the first host is let through; what follows is judged like anything else."""
    first = iter([True])
    with server(leads_to(address)) as (port, _), pytest.raises(FetchError):
        fetch(f"http://127.0.0.1:{port}/", is_allowed=lambda number: next(first, None) or fetching.is_public(number))


@pytest.mark.parametrize("size", [1024 * 1024 + 1, 5 * 1024 * 1024])
def test_body_is_refused_when_it_is_larger_than_allowed(size):
    with server(ok(b"x" * size)) as (port, _), pytest.raises(FetchError, match="larger than 1 MB|does not answer"):
        ask(port)


def test_body_is_refused_when_it_is_endless():
    with server(b"HTTP/1.1 200 OK\r\n\r\n" + b"x" * (2 * 1024 * 1024)) as (port, _), pytest.raises(FetchError, match="1 MB"):
        ask(port)


def test_body_is_refused_when_it_stops_halfway():
    with server(ok(BODY)[:-5]) as (port, _), pytest.raises(FetchError, match="before the end"):
        ask(port)


@pytest.mark.parametrize("begun", [b"", b"HTTP/1.1 200 OK\r\n", b"HTTP/1.1 200 OK\r\n\r\nBEGIN:VCAL"])
def test_reading_stops_when_the_address_keeps_silent(begun):
    with server(begun, hangs=True) as (port, _), pytest.raises(FetchError, match="does not answer"):
        ask(port, seconds=0.3)


@pytest.mark.parametrize("status", ["404 Not Found", "500 Error", "204 Nothing", "401 Who"])
def test_answer_is_refused_when_it_is_no_success(status):
    answer = f"HTTP/1.1 {status}\r\nContent-Length: 0\r\n\r\n".encode()
    with server(answer) as (port, _), pytest.raises(FetchError, match=status[:3]):
        ask(port)


def test_answer_is_refused_when_it_comes_packed():
    with server(ok(BODY, "Content-Encoding: gzip\r\n")) as (port, _), pytest.raises(FetchError, match="packed"):
        ask(port)


def test_address_is_refused_when_it_speaks_no_http():
    with server(b"SSH-2.0-x\r\n") as (port, _), pytest.raises(FetchError, match="does not answer"):
        ask(port)


def resolve_to(monkeypatch, *numbers: str) -> list:
    """Every name leads to these addresses; connections that are tried are only noted."""
    tried: list = []
    found = [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (number, 443)) for number in numbers]
    monkeypatch.setattr(fetching.socket, "getaddrinfo", lambda *asked, **how: found)

    def connect(where: tuple, timeout: float) -> None:
        tried.append(where)
        raise ConnectionRefusedError

    monkeypatch.setattr(fetching.socket, "create_connection", connect)
    return tried


@pytest.mark.parametrize(
    "numbers",
    [["127.0.0.1"], ["10.0.0.7"], ["169.254.169.254"], ["::1"], ["fd00::1"], ["::ffff:192.168.0.1"], ["8.8.8.8", "10.0.0.7"]],
)
def test_nothing_is_asked_when_a_name_leads_into_a_private_network(numbers, monkeypatch):
    tried = resolve_to(monkeypatch, *numbers)
    with pytest.raises(FetchError, match="private network"):
        fetch("https://calendar.college.example/term.ics")
    assert tried == []


def test_the_judged_address_is_the_one_connected_to_when_a_name_is_public(monkeypatch):
    """Connecting by number: a name that is resolved a second time could lead elsewhere."""
    tried = resolve_to(monkeypatch, "8.8.8.8")
    with pytest.raises(FetchError, match="does not answer"):
        fetch("https://calendar.college.example/term.ics")
    assert tried == [("8.8.8.8", 443)]


@pytest.mark.parametrize("host", ["2130706433", "0x7f000001", "0177.0.0.1", "127.1", "localhost"])
def test_this_machine_is_never_asked_when_its_address_is_written_otherwise(host):
    with pytest.raises(FetchError):
        fetch(f"http://{host}/")


def test_address_is_refused_when_there_is_no_such_name(monkeypatch):
    def fail(*asked: object, **how: object) -> None:
        raise socket.gaierror

    monkeypatch.setattr(fetching.socket, "getaddrinfo", fail)
    with pytest.raises(FetchError, match="no nowhere.example"):
        fetch("https://nowhere.example/")

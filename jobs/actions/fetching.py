"""Reading an address that somebody gave us, without letting it reach anything but the open internet.

Each host is resolved first, every one of its addresses judged, and the connection made to a judged address: a name that
is resolved anew in between cannot lead elsewhere.
"""

import socket
import ssl
import threading
from collections.abc import Callable
from contextlib import suppress
from http.client import HTTPConnection, HTTPException, HTTPResponse
from urllib.parse import urljoin

from jobs.core.web_address import BadAddressError, WebAddress, is_public, read_address

MOST_BYTES = 1024 * 1024
MOST_REDIRECTS = 3
MOST_SECONDS = 15
"""For each of the hosts asked, from connecting to the last byte."""
REDIRECTS = (301, 302, 303, 307, 308)
HEADERS = {"Accept": "text/calendar, */*;q=0.1", "Accept-Encoding": "identity", "User-Agent": "rewire calendar reader"}


class FetchError(Exception):
    """Why an address could not be read, in words for the person who gave it."""


def fetch(address: str, *, is_allowed: Callable[[str], bool] = is_public, seconds: float = MOST_SECONDS) -> bytes:
    """What lies at an address; FetchError when it may not be asked or does not answer well."""
    asked_by = "http"
    for _ in range(MOST_REDIRECTS + 1):
        target = _read(address)
        if asked_by == "https" and target.scheme == "http":
            raise FetchError("It leads from a protected address to an open one. Ask for another link.")
        body, leads_to = _ask(target, is_allowed, seconds)
        if not leads_to:
            return body
        asked_by, address = target.scheme, urljoin(address, leads_to)
    raise FetchError(f"It leads on more than {MOST_REDIRECTS} times. Copy the address it ends at.")


def _read(address: str) -> WebAddress:
    try:
        return read_address(address)
    except BadAddressError as bad:
        raise FetchError(str(bad)) from bad


def _ask(target: WebAddress, is_allowed: Callable[[str], bool], seconds: float) -> tuple[bytes, str]:
    """The body, or where it leads to instead."""
    connection = HTTPConnection(target.host, target.port, timeout=seconds)
    try:
        connection.sock = _connect(target, is_allowed, seconds)
        # One byte a second keeps every single wait short: only the clock over all of it ends that.
        is_late = threading.Event()
        timer = threading.Timer(seconds, _hang_up, [connection.sock, is_late])
        timer.start()
        try:
            answer = _answer(connection, target)
        finally:
            timer.cancel()
        if is_late.is_set():
            raise TimeoutError
        return answer
    except (OSError, HTTPException, ValueError) as error:
        raise FetchError(f"{target.host} does not answer as it should ({type(error).__name__}).") from error
    finally:
        connection.close()


def _connect(target: WebAddress, is_allowed: Callable[[str], bool], seconds: float) -> socket.socket:
    numbers = _resolve(target)
    if not all(is_allowed(number) for number in numbers):
        raise FetchError("The address leads into a private network. Only calendars on the open internet are read.")
    plain = socket.create_connection((numbers[0], target.port), timeout=seconds)
    if target.scheme == "http":
        return plain
    context = ssl.create_default_context()
    return context.wrap_socket(plain, server_hostname=target.host, do_handshake_on_connect=False)


def _resolve(target: WebAddress) -> list[str]:
    try:
        found = socket.getaddrinfo(target.host, target.port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise FetchError(f"There is no {target.host} on the internet. Check the address.") from error
    return list(dict.fromkeys(row[4][0] for row in found))


def _hang_up(connected: socket.socket, is_late: threading.Event) -> None:
    is_late.set()
    with suppress(OSError):  # it may be over already
        connected.shutdown(socket.SHUT_RDWR)


def _answer(connection: HTTPConnection, target: WebAddress) -> tuple[bytes, str]:
    if isinstance(connection.sock, ssl.SSLSocket):
        connection.sock.do_handshake()
    connection.request("GET", target.target, headers={"Host": target.host_header, **HEADERS})
    response = connection.getresponse()
    if response.status in REDIRECTS:
        return b"", response.getheader("Location") or _refuse(response)
    return (_body(response) if response.status == 200 else _refuse(response)), ""


def _body(response: HTTPResponse) -> bytes:
    if response.getheader("Content-Encoding", "identity").lower() not in ("", "identity"):
        raise FetchError("It answers packed, which was not asked for.")
    body = response.read(MOST_BYTES + 1)
    if len(body) > MOST_BYTES:
        raise FetchError("It is larger than 1 MB. Share only the calendar with the days away.")
    if response.length:
        raise FetchError("It stopped before the end.")
    return body


def _refuse(response: HTTPResponse) -> bytes:
    raise FetchError(f"It answers with {response.status} instead of a calendar. Check that the link is still shared.")

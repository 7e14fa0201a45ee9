"""Serves the application from this one process: waitress in front, background work in threads beside it."""

import signal
import sys
from collections.abc import Callable

import waitress
from django.conf import settings

from jobs.runner import Runner

MAX_REQUEST_BYTES = 30 * 1024 * 1024
"""More than any form takes, so that a page can say in words that a file is too large."""


def serve(app: Callable, *, host: str, port: int, embedded_runner: bool = True) -> None:
    """Serve until Ctrl-C or SIGTERM; then finish the requests and the work in hand."""
    server = make_server(app, host=host, port=port)
    runner = Runner() if embedded_runner else None
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    if runner:
        runner.start()
    try:
        server.run()
    finally:
        server.close()
        if runner:
            runner.stop()


def make_server(app: Callable, *, host: str, port: int) -> waitress.server.BaseWSGIServer:
    """Waitress takes a thread only once a request has come in whole, so slow phones do not block it."""
    return waitress.create_server(
        app,
        host=host,
        port=port,
        threads=8,
        ident=None,
        max_request_body_size=MAX_REQUEST_BYTES,
        clear_untrusted_proxy_headers=True,
        **_proxy_trust(),
    )


def _proxy_trust() -> dict[str, object]:
    if not settings.HTTPS:
        return {}
    return {
        "trusted_proxy": settings.TRUSTED_PROXY,
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
        "trusted_proxy_count": 1,
    }

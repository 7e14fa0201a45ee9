"""Radicale 3.9, a CalDAV server, by itself on a free port; nothing of it is on disk when the test is over."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from wsgiref.simple_server import WSGIRequestHandler, make_server

from radicale import Application, config


class QuietHandler(WSGIRequestHandler):
    def log_message(self, *arguments: object) -> None:
        """Requests are nobody's business."""


@contextmanager
def caldav_server(folder: Path) -> Iterator[str]:
    """Its address; anybody may do anything there."""
    settings = config.load()
    settings.update(
        {
            "auth": {"type": "none"}, "rights": {"type": "authenticated"}, "logging": {"level": "critical"},
            "storage": {"filesystem_folder": str(folder)},
        },
        "tests",
    )
    server = make_server("127.0.0.1", 0, Application(settings), handler_class=QuietHandler)
    serving = threading.Thread(target=server.serve_forever, daemon=True)
    serving.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
        serving.join()

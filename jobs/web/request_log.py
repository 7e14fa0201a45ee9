"""One log line for each request, and a number that ties together everything logged while it was answered."""

import logging
import time
import uuid
from collections.abc import Callable

from django.contrib.auth import SESSION_KEY
from django.http import HttpRequest, HttpResponse

from rewire.log import request_id

log = logging.getLogger(__name__)


class RequestLogMiddleware:
    """Names the view, never the address or what was sent: those hold secret links and people's names."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        given, began = request_id.set(uuid.uuid4().hex[:12]), time.monotonic()
        try:
            response = self.get_response(request)
            response["X-Request-Id"] = request_id.get()
            milliseconds = round((time.monotonic() - began) * 1000)
            where, who = _view_name(request), _user(request)
            level = logging.DEBUG if response.status_code < 400 and not request.resolver_match else logging.INFO  # a static file
            log.log(level, "%s %s %s %d ms, %s", request.method, where, response.status_code, milliseconds, who)
        finally:
            request_id.reset(given)
        return response


def _view_name(request: HttpRequest) -> str:
    return request.resolver_match.view_name if request.resolver_match else "no page"


def _user(request: HttpRequest) -> str:
    """Who it was, where the session was read anyway."""
    session = getattr(request, "session", None)
    key = session.get(SESSION_KEY) if session is not None and session.accessed else None
    return f"user {key}" if key else "nobody"

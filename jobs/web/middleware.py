"""Answers for what no view expects: a database that cannot take a change, an action that refuses. Both keep nothing.

And what a signed-in person reads is kept by nobody on the way, unless its view says for how long.
"""

import logging
from collections.abc import Callable

from django.contrib.auth import SESSION_KEY
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from jobs.actions.permission import Refused

RETRY_AFTER_SECONDS = 5
DISK_IS_FULL = ("disk is full", "No space left on device")
"""As SQLite and PostgreSQL say it."""
log = logging.getLogger(__name__)


class DatabaseTroubleMiddleware:
    """503 when the database is busy or away, 507 when its disk is full, so that phones keep what they hold."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, OperationalError):
            return None
        log.error("The database cannot serve %s: %s", request.path, error)
        return database_trouble(is_full=any(words in str(error) for words in DISK_IS_FULL))


class RefusedMiddleware:
    """409 with the sentence of an action that refused, where the view has no form to say it at."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, Refused):
            return None
        return render(request, "refused.html", {"message": error.message}, status=409)


class PrivateMiddleware:
    """Keeps pages of signed-in people out of every cache: the browser of the next person at the desk shows none."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        is_signed_in = SESSION_KEY in request.session
        response = self.get_response(request)
        if is_signed_in and "Cache-Control" not in response:
            response["Cache-Control"] = "private, no-store"
        return response


def database_trouble(*, is_full: bool) -> HttpResponse:
    page = render_to_string("busy.html", {"is_full": is_full})  # without the request: nothing may ask the database
    response = HttpResponse(page, status=507 if is_full else 503)
    response["Retry-After"] = str(RETRY_AFTER_SECONDS)
    return response

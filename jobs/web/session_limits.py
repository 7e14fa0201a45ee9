"""When a session of the office ends by itself: after a time without use, and at the latest a time after signing in.

Phones have limits of their own, kept with their device (`jobs.actions.devices`).
"""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta

from django.contrib.auth import SESSION_KEY, logout, user_logged_in
from django.contrib.sessions.backends.base import UpdateError
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jobs.web.device_session import device_key

UNUSED_FOR = timedelta(hours=2)
LONGEST = timedelta(hours=12)
"""A working day; with SESSION_COOKIE_AGE the browser forgets it as well."""
NOTED_EVERY = timedelta(minutes=5)
"""So that reading pages rarely writes."""
SIGNED_IN_AT, SEEN_AT = "signed_in_at", "seen_at"


@receiver(user_logged_in)
def start_the_clock(*, request: HttpRequest, **sent: object) -> None:
    request.session[SIGNED_IN_AT] = request.session[SEEN_AT] = timezone.now().timestamp()


class SessionLimitsMiddleware:
    """Signs a browser of the office out with the first request after either limit."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if SESSION_KEY in request.session and not device_key(request):
            _keep_or_end(request, timezone.now().timestamp())
        return self.get_response(request)


def _keep_or_end(request: HttpRequest, now: float) -> None:
    age, unused = (now - request.session.get(name, 0) for name in (SIGNED_IN_AT, SEEN_AT))
    if age >= LONGEST.total_seconds() or unused >= UNUSED_FOR.total_seconds():
        logout(request)
    elif unused >= NOTED_EVERY.total_seconds():
        request.session[SEEN_AT] = now
        with suppress(UpdateError):  # a database that is busy is no reason not to show a page
            request.session.save()
        request.session.modified = False

"""The session of a phone: it carries the device's key, and ends at once when the device is revoked."""

from collections.abc import Callable

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jobs.actions.devices import DEVICE_LASTS, LetIn, is_let_in

KEY = "device_key"
BACKEND = "django.contrib.auth.backends.ModelBackend"


def start_device_session(request: HttpRequest, let_in: LetIn) -> None:
    login(request, let_in.user, backend=BACKEND)
    request.session[KEY] = let_in.key
    request.session.set_expiry(DEVICE_LASTS)


def device_key(request: HttpRequest) -> str:
    """The key of the phone that asks, or nothing when somebody signed in with a password."""
    return request.session.get(KEY, "")


class DeviceSessionMiddleware:
    """Signs a phone out with its next request once its device was revoked or is too old."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        key = device_key(request)
        if key and not is_let_in(key=key, now=timezone.now()):
            logout(request)
        return self.get_response(request)

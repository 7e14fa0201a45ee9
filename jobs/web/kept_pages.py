"""Pages that a phone keeps for places without signal."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.web.device_session import device_key
from jobs.web.unchanged import Page, render_unchanged


def render_kept(request: HttpRequest, template: str, page: dict[str, object], *, is_kept: bool = True) -> HttpResponse:
    """A page that a phone may keep says whose it is; its `made_at` lies before its rows were read.

    Only phones let in by link or code keep pages: nothing stays on a computer that several people use.
    """
    response = render(request, template, page | {"keeps_pages": bool(device_key(request))})
    return _say_whose(request, response) if is_kept else response


def render_kept_unchanged(request: HttpRequest, template: str, build: Callable[[], dict[str, object]]) -> HttpResponse:
    """The same of a page whose rows mark their changes; `made_at` and `new_id` are filled in each time."""

    def page() -> Page:
        return Page(template, build() | {"keeps_pages": bool(device_key(request))})

    return _say_whose(request, render_unchanged(request, page))


def _say_whose(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    if device_key(request):
        response["X-Rewire-User"] = str(request.user.pk)
    return response

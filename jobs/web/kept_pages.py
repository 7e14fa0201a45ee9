"""Pages that a phone keeps for places without signal."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.web.device_session import device_key


def render_kept(request: HttpRequest, template: str, page: dict[str, object], *, is_kept: bool = True) -> HttpResponse:
    """A page that a phone may keep says whose it is; its `made_at` lies before its rows were read.

    Only phones let in by link or code keep pages: nothing stays on a computer that several people use.
    """
    keeps_pages = bool(device_key(request))
    response = render(request, template, page | {"keeps_pages": keeps_pages})
    if keeps_pages and is_kept:
        response["X-Rewire-User"] = str(request.user.pk)
    return response

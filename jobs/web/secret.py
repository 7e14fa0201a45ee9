"""Views that open by a secret link: kept out of caches, search engines and other sites' referrer logs."""

from collections.abc import Callable
from functools import wraps

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from rewire.named_firm import work_for

View = Callable[..., HttpResponse]
NOT_FOUND = "This address does not open anything. It may have been replaced: ask the office for the new one.\n"


def hidden(cache_control: str) -> Callable[[View], View]:
    """Marks every answer of a view, a not-found one included, as nobody else's business."""

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, token: str, **kwargs: object) -> HttpResponse:
            try:
                with work_for(None):  # until the link is found (`jobs.web.getters`), then for its firm
                    response = view(request, token, **kwargs)
            except Http404:
                response = _opens_nothing(request)
            response["Cache-Control"] = cache_control
            response["Referrer-Policy"] = "no-referrer"
            response["X-Robots-Tag"] = "noindex, nofollow"
            return response

        return guarded

    return decorate


def _opens_nothing(request: HttpRequest) -> HttpResponse:
    """A page for people; calendar programs, which do not ask for one, get a line."""
    if "text/html" in request.headers.get("Accept", ""):
        return render(request, "outside/not_open.html", status=404)
    return HttpResponse(NOT_FOUND, status=404, content_type="text/plain; charset=utf-8")

"""Which views a person may open: the office's, or anyone of the firm's. Everyone else signs in first."""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.shortcuts import redirect
from django.utils import timezone

from jobs.actions.trail import note_change
from jobs.web.device_session import device_key
from rewire.named_firm import work_for

View = Callable[..., HttpResponse]


def office_only(view: View) -> View:
    """Only for the firm's office, signed in with a password; crew and every phone are sent to the site page.

    What the office changes is noted on the firm's trail.
    """

    @wraps(view)
    def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if not _belongs_to_firm(request):
            return redirect_to_login(request.get_full_path())
        if not request.user.is_office or device_key(request):
            return redirect("today") if request.method == "GET" else HttpResponseForbidden("Only the office may do this.")
        with work_for(request.user.firm_id):
            response = view(request, *args, **kwargs)
            if request.method == "POST" and response.status_code < 400:
                _note(request, kwargs)
        return response

    return guarded


def firm_only(view: View) -> View:
    """For anyone of the firm, in the office or on the crew."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if not _belongs_to_firm(request):
            return redirect_to_login(request.get_full_path())
        with work_for(request.user.firm_id):
            return view(request, *args, **kwargs)

    return guarded


def _note(request: HttpRequest, found: dict[str, object]) -> None:
    match = request.resolver_match
    job_pk = found.get("job_pk") or (found.get("pk") if match.route.startswith("jobs/<int:pk>") else None)
    entered = {name: ", ".join(values) for name, values in request.POST.lists()}
    note_change(
        by=request.user, what=match.url_name, address=request.path, job_pk=job_pk, entered=entered, now=timezone.now()
    )


def _belongs_to_firm(request: HttpRequest) -> bool:
    return request.user.is_authenticated and request.user.firm_id is not None

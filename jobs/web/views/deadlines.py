"""Deadlines from outside, ticked off."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.actions import deadlines
from jobs.core.deadlines import Kind
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.getters import get_job_or_404


@office_only
@require_POST
def mark_deadline(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    job = get_job_or_404(request, pk)
    if kind not in set(Kind):
        raise Http404
    is_done = request.POST.get("is_done", "yes") == "yes"
    press(
        request,
        lambda: deadlines.mark_deadline(job=job, kind=kind, is_done=is_done, by=request.user, now=timezone.now()),
        "Ticked off." if is_done else "Open again.",
    )
    return redirect(reverse("job", args=[pk]) + "#deadlines")

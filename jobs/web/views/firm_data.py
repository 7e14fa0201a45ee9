"""The firm's whole data as an archive to keep or to take elsewhere."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import firm_archives
from jobs.models import FirmArchive
from jobs.queries.firm_archives import list_archives
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.getters import get_current_archive_or_404, get_own_firm, get_own_or_404
from jobs.web.views.photos import own_pages_only


@never_cache
@office_only
@require_GET
def firm_data(request: HttpRequest) -> HttpResponse:
    rows = list_archives(get_own_firm(request), timezone.now())
    page = {"rows": rows, "is_pending": any(row.is_pending for row in rows)}
    return render(request, "office/_firm_archives.html" if request.htmx else "office/firm_data.html", page)


@office_only
@require_POST
def ask_for_archive(request: HttpRequest) -> HttpResponse:
    firm = get_own_firm(request)
    press(request, lambda: firm_archives.ask_for_archive(firm=firm, by=request.user, now=timezone.now()))
    return redirect("firm_data")


@never_cache
@own_pages_only
@office_only
@require_GET
def firm_archive(request: HttpRequest, pk: int) -> FileResponse:
    archive = get_current_archive_or_404(request, pk, now=timezone.now())
    try:
        opened = archive.file.open()
    except (FileNotFoundError, ValueError):
        raise Http404 from None
    name = f"firm-data-{archive.made_at:%Y-%m-%d}.zip"
    return FileResponse(opened, as_attachment=True, filename=name, content_type="application/zip")


@office_only
@require_POST
def delete_archive(request: HttpRequest, pk: int) -> HttpResponse:
    firm_archives.delete_archive(archive=get_own_or_404(request, FirmArchive, pk), by=request.user)
    messages.success(request, "The archive is gone.")
    return redirect("firm_data")

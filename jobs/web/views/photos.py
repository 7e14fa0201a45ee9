"""Photos: shown to the firm's own people on the firm's own pages, and handed out together."""

from collections.abc import Callable
from functools import wraps

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseForbidden, StreamingHttpResponse
from django.views.decorators.http import require_GET

from jobs.models import Photo
from jobs.queries.photos import load_job_photos
from jobs.web.access import firm_only, office_only
from jobs.web.archive import stream_photos
from jobs.web.getters import get_job_or_404, get_own_or_404

KEPT_SECONDS = 24 * 60 * 60


def own_pages_only(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Refuses what another site's page asks for in the reader's name."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if request.headers.get("Sec-Fetch-Site", "same-origin") not in {"same-origin", "none"}:
            return HttpResponseForbidden("Open this from the firm's own pages.")
        return view(request, *args, **kwargs)

    return guarded


@own_pages_only
@firm_only
@require_GET
def photo(request: HttpRequest, pk: int) -> HttpResponse:
    return photo_answer(get_own_or_404(request, Photo, pk).image, pk)


@own_pages_only
@firm_only
@require_GET
def thumbnail(request: HttpRequest, pk: int) -> HttpResponse:
    """The photo itself until its thumbnail is drawn."""
    found = get_own_or_404(request, Photo, pk)
    return photo_answer(found.thumbnail or found.image, pk)


@own_pages_only
@office_only
@require_GET
def job_photos(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    job = get_job_or_404(request, pk)
    response = StreamingHttpResponse(stream_photos(load_job_photos(job)), content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="photos-{job.pk}.zip"'
    return response


def photo_answer(file: FieldFile, pk: int) -> FileResponse:
    """A stored picture as an answer that no page of another site can show."""
    try:
        opened = file.open()
    except FileNotFoundError:
        raise Http404 from None
    response = FileResponse(opened, content_type="image/jpeg", filename=f"photo-{pk}.jpg")
    response["Cache-Control"] = f"private, max-age={KEPT_SECONDS}"
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    return response

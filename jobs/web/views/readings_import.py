"""Files of readings: downloaded, chosen, looked at, saved."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import readings_import as actions
from jobs.actions.permission import Refused
from jobs.core.electrics.under_test import WhenTested
from jobs.core.stores_file.writing import write_csv, write_xlsx
from jobs.core.survey_file.table import FileRefused
from jobs.models import Job, ReadingsUpload
from jobs.queries.readings_file import TABLE, FileRead, list_lines, read_file
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.file_faults import list_faults
from jobs.web.forms.readings import ReadingsFileForm
from jobs.web.getters import get_job_or_404, get_of_job_or_404
from jobs.web.views.readings import WORDS, when_or_404

CONTENT_TYPES = {
    "csv": "text/csv; charset=utf-8", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
CONTENTS = ("readings", "example", "empty")


@office_only
@require_http_methods(["GET", "POST"])
def import_readings(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    form = ReadingsFileForm(request.POST or None, request.FILES or None, job=job, initial={"tested_on": today_of(request)})
    if request.method == "GET":
        return _page(request, job, ReadingsFileForm(job=job, initial={"tested_on": today_of(request)}))
    if not form.is_valid():
        return _page(request, job, form, status=422)
    data = dict(form.cleaned_data)
    file, when = data.pop("readings_file"), WhenTested(data["when_tested"])
    try:
        found = read_file(job, file.read(), when)
    except FileRefused as refused:
        form.add_error("readings_file", str(refused))
        return _page(request, job, form, status=422)
    if found.faults:
        return _page(request, job, form, found=found, file_name=file.name, status=422)
    kept: list[ReadingsUpload] = []
    about = {"job": job, "file_name": file.name, "rows": found.rows, "by": request.user, "now": timezone.now()}
    if carry_out(form, lambda: kept.append(actions.keep_readings(**about, **data))):
        return redirect("preview_readings", job_pk, kept[0].pk)
    return _page(request, job, form, status=422)


@office_only
@require_http_methods(["GET", "POST"])
def preview_readings(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    """What was understood of a file; POST saves it."""
    upload = get_of_job_or_404(request, ReadingsUpload, job_pk, pk, "job__firm", "instrument", "tested_by")
    form = ReadingsFileForm(job=upload.job, initial={"tested_on": upload.tested_on})
    try:
        found = read_file(upload.job, upload.text.encode(), WhenTested(upload.when_tested))
    except FileRefused:
        return _page(request, upload.job, form, status=422)
    if found.faults:  # the survey changed since it was kept
        return _page(request, upload.job, form, found=found, file_name=upload.file_name, status=422)
    if request.method == "POST":
        return _save(request, upload, found)
    page = WORDS | {"job": upload.job, "upload": upload, "rows": found.rows}
    return render(request, "office/readings_preview.html", page)


@office_only
@require_POST
def drop_readings(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    actions.drop_readings(upload=get_of_job_or_404(request, ReadingsUpload, job_pk, pk), by=request.user)
    return redirect("import_readings", job_pk)


@office_only
@require_GET
def readings_file(request: HttpRequest, job_pk: int, when: str, content: str, extension: str) -> HttpResponse:
    """The job's readings, a filled example, or its circuits alone, as CSV or XLSX."""
    job, when = get_job_or_404(request, job_pk), when_or_404(when)
    if content not in CONTENTS or extension not in CONTENT_TYPES:
        raise Http404
    heading, lines = list_lines(job, content, when)
    data = write_csv(heading, lines) if extension == "csv" else write_xlsx(heading, lines, TABLE)
    response = HttpResponse(data, content_type=CONTENT_TYPES[extension])
    name = f"{slugify(job.name) or 'house'}-{content}-{when.value.replace('_', '-')}.{extension}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _save(request: HttpRequest, upload: ReadingsUpload, found: FileRead) -> HttpResponse:
    try:
        saved = actions.import_readings(upload=upload, rows=found.rows, by=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("import_readings", upload.job_id)
    messages.success(request, f"Saved: {saved} readings in {len(found.rows)} rows.")
    return redirect("job_readings", upload.job_id)


def _page(
    request: HttpRequest, job: Job, form: ReadingsFileForm, *, found: FileRead | None = None, file_name: str = "",
    status: int = 200,
) -> HttpResponse:
    page = {"job": job, "form": form, "file_name": file_name, "times": list(WhenTested)}
    page |= list_faults(found.faults if found else ())
    return render(request, "office/readings_import.html", page, status=status)

"""Survey files: downloaded, chosen, looked at, saved."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions.survey_import import drop_upload, import_survey, keep_upload
from jobs.core.survey_file import (
    MOST_ROWS,
    Reading,
    SurveyDraft,
    columns_for,
    describe_draft,
    example_draft,
    read_survey,
    write_csv,
    write_xlsx,
)
from jobs.models import Job, SurveyUpload
from jobs.queries.survey import find_obstacle, has_survey, list_point_options, load_draft, load_survey
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.file_faults import list_faults
from jobs.web.forms.survey import ReplaceForm, SurveyFileForm
from jobs.web.getters import get_job_or_404, get_of_job_or_404

WRITERS = {
    "csv": (write_csv, "text/csv; charset=utf-8"),
    "xlsx": (write_xlsx, "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
}


@office_only
@require_http_methods(["GET", "POST"])
def survey_import(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    form = SurveyFileForm(request.POST or None, request.FILES or None)
    if request.method == "GET":
        return _import_page(request, job, SurveyFileForm())
    if not form.is_valid():
        return _import_page(request, job, form, status=422)
    file, kinds = form.cleaned_data["survey_file"], list_point_options(job.firm)
    reading = read_survey(file.read(), point_kinds=kinds, usual_walls=job.wall_kind)
    if reading.draft is None:
        return _import_page(request, job, SurveyFileForm(), reading=reading, file_name=file.name, status=422)
    upload = keep_upload(
        job=job, file_name=file.name, reading=reading, point_kinds=kinds, by=request.user, now=timezone.now()
    )
    return redirect("survey_preview", job_pk, upload.pk)


@office_only
@require_http_methods(["GET", "POST"])
def survey_preview(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    """What was understood of an upload; POST saves it."""
    upload = get_of_job_or_404(request, SurveyUpload, job_pk, pk)
    job, kinds = upload.job, list_point_options(upload.firm)
    reading = read_survey(upload.text.encode(), point_kinds=kinds, usual_walls=job.wall_kind)
    if reading.draft is None:
        return _import_page(request, job, SurveyFileForm(), reading=reading, file_name=upload.file_name, status=422)
    form = ReplaceForm(request.POST if request.method == "POST" else None)
    if carry_out(form, lambda: import_survey(job=job, draft=reading.draft, by=request.user, **form.cleaned_data)):
        messages.success(request, f"Saved: {len(reading.draft.rooms)} rooms and {reading.draft.point_count} points.")
        return redirect("survey", job_pk)
    page = {
        "job": job, "upload": upload, "form": form, "draft": reading.draft, "preview": describe_draft(reading.draft, kinds),
        "survey": load_survey(job) if has_survey(job) else None, "obstacle": find_obstacle(job),
    }
    return render(request, "office/survey_preview.html", page, status=422 if form.errors else 200)


@office_only
@require_POST
def drop_survey_upload(request: HttpRequest, job_pk: int, pk: int) -> HttpResponse:
    drop_upload(upload=get_of_job_or_404(request, SurveyUpload, job_pk, pk), by=request.user)
    return redirect("survey_import", job_pk)


@office_only
@require_GET
def survey_file(request: HttpRequest, job_pk: int, content: str, extension: str) -> HttpResponse:
    """The survey of the job, a filled example or an empty file, as CSV or XLSX."""
    job = get_job_or_404(request, job_pk)
    if content not in {"survey", "example", "empty"} or extension not in WRITERS:
        raise Http404
    kinds = list_point_options(job.firm)
    write, content_type = WRITERS[extension]
    response = HttpResponse(write(_draft(job, content, kinds), kinds), content_type=content_type)
    name = slugify(job.name) or "house" if content == "survey" else content
    response["Content-Disposition"] = f'attachment; filename="{name}-survey.{extension}"'
    return response


def _draft(job: Job, content: str, kinds: list) -> SurveyDraft:
    if content == "survey":
        return load_draft(job)
    return example_draft(kinds) if content == "example" else SurveyDraft()


def _import_page(
    request: HttpRequest, job: Job, form: SurveyFileForm, *, reading: Reading | None = None, file_name: str = "",
    status: int = 200,
) -> HttpResponse:
    kinds = list_point_options(job.firm)
    page = {
        "job": job, "form": form, "file_name": file_name, "columns": columns_for(kinds), "kinds": kinds,
        "most_rows": MOST_ROWS, "has_survey": has_survey(job), "obstacle": find_obstacle(job),
    } | (list_faults(reading.faults, reading.notes) if reading else list_faults(()))
    return render(request, "office/survey_import.html", page, status=status)

"""The consumer unit of a job: drawing, circuit chart and labels to print."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.core.electrics.rules import CAUTION, EDITION_NOTE
from jobs.queries.circuits import load_schedule
from jobs.queries.circuits_board import load_board
from jobs.web.access import office_only
from jobs.web.getters import get_job_or_404


@office_only
@require_GET
def circuit_board(request: HttpRequest, job_pk: int) -> HttpResponse:
    return _page(request, job_pk, "office/circuits_board.html")


@office_only
@require_GET
def circuit_chart(request: HttpRequest, job_pk: int) -> HttpResponse:
    """The chart that stays at the board, on a sheet of its own."""
    return _page(request, job_pk, "office/circuits_chart.html")


@office_only
@require_GET
def circuit_labels(request: HttpRequest, job_pk: int) -> HttpResponse:
    return _page(request, job_pk, "office/circuits_labels.html")


def _page(request: HttpRequest, job_pk: int, template: str) -> HttpResponse:
    job = get_job_or_404(request, job_pk)
    schedule = load_schedule(job)
    page = {
        "job": job, "schedule": schedule, "sheet": load_board(schedule), "edition_note": EDITION_NOTE, "caution": CAUTION,
    }
    return render(request, template, page)

"""The handover pack: the office's page with its PDF, and the customer's by their secret link."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from jobs.actions import handover as actions
from jobs.actions.links import note_opened
from jobs.models import HandoverPdf, Job, SecretLink
from jobs.queries.handover import find_handover, find_made, load_pack
from jobs.queries.handover_pdf import load_pdf_state
from jobs.queries.links import find_link_for
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.forms.handover import HandoverForm
from jobs.web.getters import get_job_or_404, get_link_or_404, get_made_pdf_or_404, get_pack_photo_or_404, get_shown_job_or_404
from jobs.web.secret import hidden
from jobs.web.views.photos import own_pages_only, photo_answer

Purpose = SecretLink.Purpose


@never_cache
@office_only
@require_http_methods(["GET", "POST"])
def handover_pack(request: HttpRequest, pk: int) -> HttpResponse:
    job, now = get_job_or_404(request, pk), timezone.now()
    form = HandoverForm(request.POST or None, instance=find_handover(job))
    if request.method == "POST" and carry_out(
        form, lambda: actions.edit_handover(job=job, details=form.cleaned_data, by=request.user)
    ):
        messages.success(request, "Saved.")
        return redirect("handover_pack", pk)
    pack = load_pack(job, now)
    page = {"job": job, "pack": pack, "pdf": load_pdf_state(job, pack), "form": form, "handover": find_handover(job)}
    if request.htmx:
        return render(request, "office/_handover_pdf.html", page)
    page["link"] = find_link_for(Purpose.CUSTOMER_PAGE, job=job, now=now)
    return render(request, "office/handover.html", page, status=422 if form.errors else 200)


@office_only
@require_POST
def make_handover_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    job = get_job_or_404(request, pk)
    press(request, lambda: actions.ask_for_pdf(job=job, by=request.user, now=timezone.now()))
    return redirect("handover_pack", pk)


@never_cache
@own_pages_only
@office_only
@require_GET
def handover_pdf(request: HttpRequest, job_pk: int, pk: int) -> FileResponse:
    return _pdf_answer(get_made_pdf_or_404(request, job_pk, pk))


@hidden("no-store")
@require_safe
def customer_pack(request: HttpRequest, token: str) -> HttpResponse:
    link, job = _shown_job(token)
    note_opened(link=link, now=timezone.now())
    page = {"link": link, "firm": job.firm, "token": token, "pack": load_pack(job, timezone.now()), "made": find_made(job)}
    return render(request, "outside/customer_pack.html", page)


@hidden("no-store")
@require_safe
def customer_pack_pdf(request: HttpRequest, token: str) -> FileResponse:
    _, job = _shown_job(token)
    made = find_made(job)
    if made is None:
        raise Http404
    return _pdf_answer(made)


@hidden("private, no-cache")
@require_safe
def customer_pack_photo(request: HttpRequest, token: str, pk: int) -> FileResponse:
    _, job = _shown_job(token)
    return photo_answer(get_pack_photo_or_404(job, pk).image, pk)


def _shown_job(token: str) -> tuple[SecretLink, Job]:
    link = get_link_or_404(token, Purpose.CUSTOMER_PAGE, now=timezone.now())
    return link, get_shown_job_or_404(link)


def _pdf_answer(pdf: HandoverPdf) -> FileResponse:
    try:
        opened = pdf.file.open()
    except (FileNotFoundError, ValueError):
        raise Http404 from None
    name = f"handover-pack-{pdf.made_at:%Y-%m-%d}.pdf"
    response = FileResponse(opened, as_attachment=True, filename=name, content_type="application/pdf")
    response["X-Content-Type-Options"] = "nosniff"
    return response

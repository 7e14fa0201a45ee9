"""The customer's own page, by secret link; and the office's page of what they get to see."""

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseForbidden
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from jobs.actions import customer
from jobs.actions.links import note_opened
from jobs.actions.permission import Refused
from jobs.core.customer_words import POWER_CAUTION
from jobs.models import SecretLink
from jobs.queries.customer import load_customer_page
from jobs.queries.handover import find_handover
from jobs.queries.links import address_path, find_link_for
from jobs.queries.photos import load_job_photos
from jobs.web.access import office_only
from jobs.web.forms.customer import CustomerAnswerForm, PhotoChoiceForm, answer_key, is_own_key
from jobs.web.getters import (
    get_customer_photo_or_404,
    get_customer_variation_or_404,
    get_job_or_404,
    get_link_or_404,
)
from jobs.web.link_cards import link_card
from jobs.web.secret import hidden
from jobs.web.views.photos import photo_answer

TOO_OLD = "This form is too old or did not come from your page. Open your page again and answer there.\n"
Purpose = SecretLink.Purpose


@hidden("no-store")
@require_safe
def customer_page(request: HttpRequest, token: str) -> HttpResponse:
    link = get_link_or_404(token, Purpose.CUSTOMER_PAGE, now=timezone.now())
    note_opened(link=link, now=timezone.now())
    return _page(request, link)


@csrf_exempt  # the signed key in the form does this work: see answer_key
@hidden("no-store")
@require_http_methods(["GET", "HEAD", "POST"])
def customer_variation(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """Asks before anything is answered: programs that follow every link in a mail answer nothing."""
    link = get_link_or_404(token, Purpose.CUSTOMER_PAGE, now=timezone.now())
    variation = get_customer_variation_or_404(link, pk)
    if request.method != "POST":
        page = {"link": link, "firm": link.firm, "variation": variation, "key": answer_key(link, variation)}
        return render(request, "outside/customer_variation.html", page)
    form = CustomerAnswerForm(request.POST)
    is_ours = form.is_valid() and is_own_key(form.cleaned_data["key"], link, variation)
    if not is_ours or request.headers.get("Sec-Fetch-Site") == "cross-site":
        return HttpResponseForbidden(TOO_OLD, content_type="text/plain; charset=utf-8")
    is_agreed = form.cleaned_data["answer"] == "agree"
    try:
        customer.answer_as_customer(variation=variation, link=link, is_agreed=is_agreed, now=timezone.now())
    except Refused as refused:
        return _page(request, link, refused=refused.message, status=409)
    response = HttpResponse(status=303)
    response["Location"] = f"{reverse('customer_page', args=[token])}#found-{pk}"
    return response


@hidden("private, no-cache")
@require_safe
def customer_photo(request: HttpRequest, token: str, pk: int) -> FileResponse:
    return _photo(token, pk, is_small=False)


@hidden("private, no-cache")
@require_safe
def customer_thumbnail(request: HttpRequest, token: str, pk: int) -> FileResponse:
    return _photo(token, pk, is_small=True)


@office_only
@require_GET
def job_customer(request: HttpRequest, pk: int) -> HttpResponse:
    """What the customer gets to see: their links, their photos, and their page as it is now."""
    job, now = get_job_or_404(request, pk), timezone.now()
    page = {
        "job": job,
        "cards": [link_card(request, purpose, job, now) for purpose in (Purpose.CUSTOMER_PAGE, Purpose.CUSTOMER_FEED)],
        "photo_groups": load_job_photos(job),
        "page": load_customer_page(job, now),
        "power_caution": POWER_CAUTION,
    }
    return render(request, "office/job_customer.html", page)


@office_only
@require_POST
def choose_photos(request: HttpRequest, pk: int) -> HttpResponse:
    job = get_job_or_404(request, pk)
    form = PhotoChoiceForm(request.POST, job=job)
    if form.is_valid():
        chosen = {photo.pk for photo in form.cleaned_data["photos"]}
        count = customer.choose_photos(job=job, photos=chosen, by=request.user)
        messages.success(request, f"The customer sees {count} photo{'' if count == 1 else 's'}.")
    else:
        messages.error(request, "One of these photos is not of this job. Nothing was changed.")
    return redirect("job_customer", pk)


def _photo(token: str, pk: int, *, is_small: bool) -> FileResponse:
    link = get_link_or_404(token, Purpose.CUSTOMER_PAGE, now=timezone.now())
    found = get_customer_photo_or_404(link, pk)
    return photo_answer(found.thumbnail or found.image if is_small else found.image, pk)


def _page(request: HttpRequest, link: SecretLink, *, refused: str = "", status: int = 200) -> HttpResponse:
    now = timezone.now()
    context = {
        "link": link,
        "firm": link.firm,
        "token": request.resolver_match.kwargs["token"],
        "page": load_customer_page(link.job, now),
        "power_caution": POWER_CAUTION,
        "refused": refused,
        "calendar": _calendar(request, link),
        "has_pack": find_handover(link.job).is_shown_to_customer,
    }
    return render(request, "outside/customer_page.html", context, status=status)


def _calendar(request: HttpRequest, link: SecretLink) -> dict[str, str]:
    """The addresses of their calendar, if the office has one switched on."""
    feed = find_link_for(Purpose.CUSTOMER_FEED, job=link.job, now=timezone.now())
    if feed is None:
        return {}
    address = request.build_absolute_uri(address_path(feed))
    return {"https": address, "webcal": "webcal:" + address.partition(":")[2]}

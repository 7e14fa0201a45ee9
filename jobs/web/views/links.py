"""Secret links in the office: all calendars on one page; each made, renewed and switched off."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import links
from jobs.models import Contact, Firm, Job, Person, SecretLink
from jobs.queries.feeds import AWAY_SHOWN, NAMED
from jobs.queries.link_lists import load_calendars
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.forms.links import LinkOptionsForm
from jobs.web.getters import get_own_or_404
from jobs.web.link_cards import SUBJECT_FIELDS, link_card

FOR_CUSTOMERS = (SecretLink.Purpose.CUSTOMER_PAGE, SecretLink.Purpose.CUSTOMER_FEED)
MODELS = {"person": Person, "job": Job, "contact": Contact}
Subject = Person | Job | Contact | Firm


@office_only
@require_GET
def calendar_list(request: HttpRequest) -> HttpResponse:
    return render(request, "office/trades_calendars.html", {"groups": load_calendars(request.user.firm, timezone.now())})


@office_only
@never_cache
@require_GET
def link(request: HttpRequest, purpose: str, subject_pk: int) -> HttpResponse:
    card = link_card(request, purpose, _subject_or_404(request, purpose, subject_pk), timezone.now())
    return render(request, "office/trades_link.html", {"card": card})


@office_only
@require_POST
def make_link(request: HttpRequest, purpose: str, subject_pk: int) -> HttpResponse:
    subject = _subject_or_404(request, purpose, subject_pk)
    links.make_link(purpose=purpose, by=request.user, now=timezone.now(), **{SUBJECT_FIELDS[purpose]: subject})
    messages.success(request, "Made. Whoever has the address can open it, so give it only to them.")
    return _back(purpose, subject_pk)


@office_only
@require_POST
def rotate_link(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_own_or_404(request, SecretLink, pk)
    press(
        request, lambda: links.rotate_link(link=known, by=request.user, now=timezone.now()),
        "It has a new address. The old one no longer opens anything: pass the new one on.",
    )
    return _back_to(known)


@office_only
@require_POST
def revoke_link(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_own_or_404(request, SecretLink, pk)
    links.revoke_link(link=known, by=request.user, now=timezone.now())
    messages.success(request, "Switched off. Its address no longer opens anything.")
    return _back_to(known)


@office_only
@require_POST
def choose_link_options(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_own_or_404(request, SecretLink, pk)
    form = LinkOptionsForm(request.POST, shows_people=known.purpose in AWAY_SHOWN, shows_work=known.purpose in NAMED)
    if form.is_valid():
        links.choose_options(link=known, by=request.user, **form.cleaned_data)
        messages.success(request, "Saved. Calendars show it when they next look.")
    else:
        messages.error(request, "Choose one of the reminders offered.")
    return _back_to(known)


def _subject_or_404(request: HttpRequest, purpose: str, subject_pk: int) -> Subject:
    if purpose not in SUBJECT_FIELDS:
        raise Http404
    if SUBJECT_FIELDS[purpose] == "firm":
        if subject_pk != request.user.firm_id:
            raise Http404
        return request.user.firm
    return get_own_or_404(request, MODELS[SUBJECT_FIELDS[purpose]], subject_pk)


def _back_to(known: SecretLink) -> HttpResponse:
    return _back(known.purpose, known.person_id or known.job_id or known.contact_id or known.firm_id)


def _back(purpose: str, subject_pk: int) -> HttpResponse:
    if SUBJECT_FIELDS[purpose] == "contact":
        return redirect("contact", subject_pk)
    if purpose in FOR_CUSTOMERS:
        return redirect("job_customer", subject_pk)
    return redirect("link", purpose, subject_pk)

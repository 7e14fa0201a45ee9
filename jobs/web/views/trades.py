"""Trades: contacts, their visits, what they were told and answered."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import contacts
from jobs.actions.contacts import add_contact, edit_contact
from jobs.actions.links import TRADE_PURPOSES
from jobs.actions.mailing import notice_text
from jobs.models import Contact, ContactAway
from jobs.queries.channels import channel_of
from jobs.queries.contacts import list_notices, list_times_away, load_trades, load_visit_rows
from jobs.queries.delivery_log import load_delivery_log
from jobs.queries.invitations import list_mail_answers
from jobs.web.access import office_only
from jobs.web.answers import carry_out
from jobs.web.clock import today_of
from jobs.web.forms.trades import ContactAwayForm, ContactForm
from jobs.web.getters import get_contact_or_404, get_own_or_404
from jobs.web.link_cards import link_card
from jobs.web.unchanged import Page, render_unchanged


@office_only
@require_GET
def contact_list(request: HttpRequest) -> HttpResponse:
    return render_unchanged(request, partial(_contact_list_page, request))


def _contact_list_page(request: HttpRequest) -> Page:
    rows = load_visit_rows(request.user.firm)
    unassigned = [row for row in rows.get(None, []) if not row.is_over]
    return Page("office/trades.html", {"groups": load_trades(request.user.firm, rows), "unassigned": unassigned})


@office_only
@require_GET
def contact(request: HttpRequest, pk: int) -> HttpResponse:
    return _contact_page(request, get_contact_or_404(request, pk))


@office_only
@require_POST
def add_contact_away(request: HttpRequest, pk: int) -> HttpResponse:
    known, form = get_contact_or_404(request, pk), ContactAwayForm(request.POST)
    if carry_out(form, lambda: contacts.add_contact_away(contact=known, **form.cleaned_data, by=request.user)):
        messages.success(request, "Days away added. Plan again to see what they move.")
        return redirect("contact", pk)
    return _contact_page(request, known, form)


@office_only
@require_POST
def remove_contact_away(request: HttpRequest, pk: int) -> HttpResponse:
    away = get_own_or_404(request, ContactAway, pk)
    contacts.remove_contact_away(away=away, by=request.user)
    messages.success(request, "Days away removed.")
    return redirect("contact", away.contact_id)


def _contact_page(request: HttpRequest, known: Contact, away_form: ContactAwayForm | None = None) -> HttpResponse:
    page, feed = (link_card(request, purpose, known, timezone.now()) for purpose in TRADE_PURPOSES)
    context = {
        "contact": known,
        "visits": load_visit_rows(request.user.firm, contact=known)[known.pk],
        "rows": [
            (row, notice_text(row.notice, page.address)) for row in list_notices(request.user.firm, timezone.now(), contact=known)
        ],
        "channel": channel_of(known),
        "log": load_delivery_log(known, timezone.now()),
        "mail_answers": list_mail_answers(contact=known),
        "cards": [page, feed],
        "times_away": list_times_away(known, today_of(request)),
        "away_form": away_form or ContactAwayForm(),
    }
    return render(request, "office/trades_contact.html", context, status=422 if away_form else 200)


@office_only
@require_http_methods(["GET", "POST"])
def contact_add(request: HttpRequest) -> HttpResponse:
    form = ContactForm(request.POST or None)
    added: list[Contact] = []
    if carry_out(form, lambda: added.append(
        add_contact(firm=request.user.firm, details=form.cleaned_data, by=request.user)
    )):
        return redirect("contact", added[0].pk)
    return _form_page(request, form, None)


@office_only
@require_http_methods(["GET", "POST"])
def contact_edit(request: HttpRequest, pk: int) -> HttpResponse:
    known = get_contact_or_404(request, pk)
    form = ContactForm(request.POST or None, instance=get_contact_or_404(request, pk))
    if carry_out(form, lambda: edit_contact(contact=known, details=form.cleaned_data, by=request.user)):
        messages.success(request, "Saved.")
        return redirect("contact", pk)
    return _form_page(request, form, known)


def _form_page(request: HttpRequest, form: ContactForm, known: Contact | None) -> HttpResponse:
    status = 422 if form.errors else 200
    return render(request, "office/trades_contact_form.html", {"form": form, "contact": known}, status=status)

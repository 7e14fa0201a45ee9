"""Messages to trades and crew: the list, passing one on by hand, holding one back and telling it after all."""


from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import held_back, posting
from jobs.actions.mailing import notice_text
from jobs.models import Contact, HeldBack, Notice, Person, Plan
from jobs.queries.contacts import list_notices
from jobs.queries.held_back import load_untold
from jobs.queries.invitations import list_mail_answers
from jobs.queries.links import load_page_addresses
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.forms.trades import HoldBackForm
from jobs.web.getters import get_contact_or_404, get_own_or_404


@office_only
@require_GET
def notice_list(request: HttpRequest) -> HttpResponse:
    """The last notices to trades and crew: what left, what waits, what is to be copied, what is held back."""
    firm, now = request.user.firm, timezone.now()
    pages = load_page_addresses(firm, now)
    rows = [(row, notice_text(row.notice, pages.get(row.notice.contact_id, ""))) for row in list_notices(firm, now)]
    context = {
        "rows": rows, "untold": load_untold(firm, now), "mail_answers": list_mail_answers(firm=firm)
    }
    return render(request, "office/trades_notices.html", context)


@office_only
@require_POST
def pass_on_notice(request: HttpRequest, pk: int) -> HttpResponse:
    notice = get_own_or_404(request, Notice, pk)
    press(
        request, lambda: posting.pass_on(notice=notice, by=request.user, now=timezone.now()),
        "Written down: you passed it on.",
    )
    back = request.POST.get("back", "")
    is_ours = back.startswith("/") and url_has_allowed_host_and_scheme(back, {request.get_host()}, request.is_secure())
    return redirect(back if is_ours else "notice_list")


@office_only
@require_POST
def hold_back(request: HttpRequest, pk: int, contact_pk: int) -> HttpResponse:
    contact = get_contact_or_404(request, contact_pk)
    done = f"{contact} hears nothing when you issue. Until they are told, what they know stands."
    return _hold_back(request, get_own_or_404(request, Plan, pk), contact, done)


@office_only
@require_POST
def hold_back_crew(request: HttpRequest, pk: int, person_pk: int) -> HttpResponse:
    person = get_own_or_404(request, Person, person_pk)
    done = f"{person} gets no message when you issue. Their own pages and calendar follow the plan all the same."
    return _hold_back(request, get_own_or_404(request, Plan, pk), person, done)


def _hold_back(request: HttpRequest, plan: Plan, recipient: Contact | Person, done: str) -> HttpResponse:
    form = HoldBackForm(request.POST)
    reason = form.cleaned_data["reason"] if form.is_valid() else ""
    press(
        request,
        lambda: held_back.hold_back(plan=plan, recipient=recipient, reason=reason, by=request.user, now=timezone.now()),
        done,
    )
    return redirect(reverse("plan_review") + "#who-head")


@office_only
@require_POST
def let_go(request: HttpRequest, pk: int) -> HttpResponse:
    held = get_own_or_404(request, HeldBack, pk, "contact", "person")
    press(
        request, lambda: held_back.let_go(held=held, by=request.user), f"{held.recipient} is told with the others when you issue."
    )
    return redirect(reverse("plan_review") + "#who-head")


@office_only
@require_POST
def tell_held_back(request: HttpRequest, pk: int) -> HttpResponse:
    held = get_own_or_404(request, HeldBack, pk, "contact", "person")
    press(
        request, lambda: held_back.tell_held_back(held=held, by=request.user, now=timezone.now()),
        f"{held.recipient} is being told.",
    )
    return redirect("notice_list")

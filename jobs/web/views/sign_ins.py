"""Who can sign in: the office's people and every phone of the firm, and how each is let out again."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import sign_ins as actions
from jobs.actions.attempts import count_attempt
from jobs.models import User
from jobs.queries.sign_ins import list_colleagues, list_phones
from jobs.web.access import office_only
from jobs.web.answers import carry_out, press
from jobs.web.forms.sign_ins import ChoosePasswordForm, ColleagueForm
from jobs.web.getters import get_own_firm, get_own_or_404

GUESSES = {"what": "password link", "most": 10, "window": timedelta(minutes=15)}


@office_only
@require_GET
def sign_ins(request: HttpRequest) -> HttpResponse:
    return _page(request, ColleagueForm())


@office_only
@require_POST
def add_colleague(request: HttpRequest) -> HttpResponse:
    firm, form = get_own_firm(request), ColleagueForm(request.POST)
    if carry_out(form, lambda: actions.add_colleague(firm=firm, **form.cleaned_data, by=request.user)):
        messages.success(request, "Added. Make their link now, so that they can choose a password.")
        return redirect("sign_ins")
    return _page(request, form)


@office_only
@require_POST
def sign_out_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Of the office or the crew, oneself included."""
    user = get_own_or_404(request, User, pk, "person")
    actions.sign_out_everywhere(user=user, by=request.user, now=timezone.now())
    if user == request.user:
        return redirect("sign_in")
    messages.success(request, f"{user.person or user.get_full_name() or user.username} is signed out everywhere.")
    return redirect("person", user.person_id) if user.is_crew else redirect("sign_ins")


@office_only
@require_POST
def let_out(request: HttpRequest, pk: int) -> HttpResponse:
    return _switch(request, pk, is_active=False, done="is no longer let in")


@office_only
@require_POST
def let_in(request: HttpRequest, pk: int) -> HttpResponse:
    return _switch(request, pk, is_active=True, done="is let in again")


@never_cache
@office_only
@require_POST
def make_password_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Shows the link once: it is in this answer and nowhere else."""
    user, made = get_own_or_404(request, User, pk), []
    if not press(request, lambda: made.append(actions.make_password_link(user=user, by=request.user))):
        return redirect("sign_ins")
    address = f"{request.build_absolute_uri(reverse('choose_password'))}#{made[0]}"
    return render(request, "office/sign_ins_link.html", {"person": user, "address": address})


@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def choose_password(request: HttpRequest) -> HttpResponse:
    """The page behind the link. Its secret stays in the address's fragment until a person presses the button."""
    form = ChoosePasswordForm(request.POST or None)
    if request.method == "POST" and carry_out(form, lambda: _choose(request, form)):
        messages.success(request, "Your password is set. Sign in with it.")
        return redirect("sign_in")
    return render(request, "choose_password.html", {"form": form}, status=422 if form.errors else 200)


def _choose(request: HttpRequest, form: ChoosePasswordForm) -> None:
    count_attempt(**GUESSES, who=request.META["REMOTE_ADDR"], now=timezone.now())
    actions.choose_password(secret=form.cleaned_data["token"], password=form.cleaned_data["new_password"])


def _switch(request: HttpRequest, pk: int, *, is_active: bool, done: str) -> HttpResponse:
    user = get_own_or_404(request, User, pk)
    words = f"{user.get_full_name() or user.username} {done}."
    press(
        request,
        lambda: actions.switch_colleague(user=user, is_active=is_active, by=request.user, now=timezone.now()),
        words,
    )
    return redirect("sign_ins")


def _page(request: HttpRequest, form: ColleagueForm) -> HttpResponse:
    firm = get_own_firm(request)
    shown = {"form": form, "colleagues": list_colleagues(firm), "phones": list_phones(firm, timezone.now())}
    return render(request, "office/sign_ins.html", shown, status=422 if form.errors else 200)

"""Signing in: the office with a password, phones with a link or a code from the office."""

from collections.abc import Callable
from datetime import timedelta

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from jobs.actions import devices
from jobs.actions.attempts import count_attempt, forget_attempts
from jobs.actions.permission import Refused
from jobs.web.access import office_only
from jobs.web.device_session import KEY, device_key, start_device_session
from jobs.web.forms.sign_in import CodeForm, LinkForm, NewPasswordForm, OfficeSignInForm

SYSTEMS = (
    ("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android phone"), ("Windows", "Windows computer"),
    ("Macintosh", "Mac"), ("Linux", "Linux computer"),
)
GUESSES = {"what": "phone sign-in", "most": 5, "window": timedelta(minutes=15)}


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    form = OfficeSignInForm(request, data=request.POST or None)
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        request.session.pop(KEY, None)
        request.session.set_expiry(None)
        return redirect(_asked_for(request) or "week")
    return _sign_in_page(request, form=form)


@never_cache
@sensitive_post_parameters("code")
@require_POST
def sign_in_with_code(request: HttpRequest) -> HttpResponse:
    form = CodeForm(request.POST)
    if form.is_valid():
        try:
            let_in = _let_in(request, devices.let_in_by_code, code=form.cleaned_data["code"])
        except Refused as refused:
            form.add_error("code", refused.message)
        else:
            start_device_session(request, let_in)
            return redirect(_asked_for(request) or "today")
    return _sign_in_page(request, code_form=form)


@never_cache
@sensitive_post_parameters("token")
@require_http_methods(["GET", "POST"])
def sign_in_link(request: HttpRequest) -> HttpResponse:
    """The page behind the QR code. The token stays in the address's fragment until a person presses the button."""
    problem = ""
    if request.method == "POST":
        form = LinkForm(request.POST)
        try:
            token = form.cleaned_data["token"] if form.is_valid() else ""
            let_in = _let_in(request, devices.let_in_by_link, token=token)
        except Refused as refused:
            problem = refused.message
        else:
            start_device_session(request, let_in)
            return redirect("today")
    return render(request, "sign_in_link.html", {"problem": problem}, status=422 if problem else 200)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    if key := device_key(request):
        devices.sign_out_device(key=key, now=timezone.now())
    logout(request)
    return redirect("sign_in")


@never_cache
@sensitive_post_parameters()
@office_only
@require_http_methods(["GET", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    form = NewPasswordForm(request.user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        update_session_auth_hash(request, form.save())
        messages.success(request, "Your password is changed. Other browsers are signed out.")
        return redirect("password")
    return render(request, "office/password.html", {"form": form}, status=422 if form.errors else 200)


def _let_in(request: HttpRequest, by: Callable[..., devices.LetIn], **secret: str) -> devices.LetIn:
    who, now = request.META["REMOTE_ADDR"], timezone.now()
    count_attempt(**GUESSES, who=who, now=now)
    let_in = by(**secret, device_name=_device_name(request), now=now)
    forget_attempts(what=GUESSES["what"], who=who)
    return let_in


def _device_name(request: HttpRequest) -> str:
    """What the office sees in its list of phones, as far as the browser tells."""
    agent = request.headers.get("User-Agent", "")
    return next((name for mark, name in SYSTEMS if mark in agent), "Other device")


def _sign_in_page(
    request: HttpRequest, *, form: OfficeSignInForm | None = None, code_form: CodeForm | None = None
) -> HttpResponse:
    form, code_form = form or OfficeSignInForm(request), code_form or CodeForm()
    next_page = _asked_for(request)
    page = {"form": form, "code_form": code_form, "next": next_page, "is_for_site": next_page.startswith("/site/")}
    return render(request, "sign_in.html", page, status=422 if form.errors or code_form.errors else 200)


def _asked_for(request: HttpRequest) -> str:
    """The page somebody wanted before signing in: only ever an address of this site."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    is_ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if is_ours else ""

"""Who of the office signs in, with which password, and from when on no longer."""

from datetime import datetime

from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.tokens import default_token_generator
from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.actions.permission import Refused, require_office
from jobs.models import Device, Firm, Role, User
from rewire.named_firm import work_for

USED_UP = "That link was used already or is too old. Ask in the office for a new one."


@transaction.atomic
def add_colleague(*, firm: Firm, name: str, username: str, by: User) -> User:
    """Somebody else for the office; they choose their password by a link (`make_password_link`)."""
    require_office(by, firm)
    with work_for(None):  # names to sign in with are those of all firms
        is_taken = User.objects.filter(username__iexact=username).exists()
    if is_taken:
        raise Refused(f"“{username}” is taken. Choose another name to sign in with.", field="username")
    first_name, _, last_name = name.partition(" ")
    user = User(username=username, firm=firm, role=Role.OFFICE, first_name=first_name, last_name=last_name)
    user.set_unusable_password()
    user.save()
    return user


@transaction.atomic
def sign_out_everywhere(*, user: User, by: User, now: datetime) -> None:
    """End every session of `user`, in browsers and on phones; each ends with its next request."""
    require_office(by, user)
    User.objects.filter(pk=user.pk).update(signed_out_at=now)
    Device.objects.filter(user=user, revoked_at=None).update(revoked_at=now)


@transaction.atomic
def switch_colleague(*, user: User, is_active: bool, by: User, now: datetime) -> None:
    """Let somebody of the office no longer in, anywhere, or in again."""
    require_office(by, user)
    if user == by:
        raise Refused("You cannot shut yourself out. Ask somebody else in the office.")
    if not user.is_office:
        raise Refused("Mark a person of the crew as no longer working here, on their own page.")
    User.objects.filter(pk=user.pk).update(is_active=is_active)
    if not is_active:
        sign_out_everywhere(user=user, by=by, now=now)


def make_password_link(*, user: User, by: User) -> str:
    """What lets `user` choose a password, once, within a day (PASSWORD_RESET_TIMEOUT); nothing of it is stored."""
    require_office(by, user)
    if not (user.is_office and user.is_active):
        raise Refused(f"{user.username} does not sign in with a password.")
    return f"{user.pk}:{default_token_generator.make_token(user)}"


def choose_password(*, secret: str, password: str) -> User:
    """Set the password of whoever the link is for; every session with the old one is over."""
    pk, _, token = secret.partition(":")
    with transaction.atomic():
        users = User.objects.select_for_update().filter(is_active=True, role=Role.OFFICE)
        user = users.filter(pk=pk).first() if pk.isascii() and pk.isdigit() and len(pk) < 19 else None
        if user is None or not default_token_generator.check_token(user, token):
            raise Refused(USED_UP)
        check_password(password, user, field="new_password")
        user.set_password(password)
        user.save(update_fields=["password"])
    return user


def check_password(password: str, user: User, *, field: str = "password") -> None:
    """Refuse a password that is short, common, or the name of its user."""
    try:
        validate_password(password, user)
    except ValidationError as poor:
        raise Refused(" ".join(poor.messages), field=field) from poor

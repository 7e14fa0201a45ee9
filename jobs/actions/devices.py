"""Phones: let in by a one-time link or code from the office, let out by revoking."""

import secrets
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import OperationalError, models, transaction
from django.utils.crypto import salted_hmac

from jobs.actions.permission import Refused, require_office
from jobs.models import Device, Person, Role, SignInCode, User
from jobs.queries.sign_ins import may_come_in

SIGN_IN_LASTS = timedelta(minutes=10)
DEVICE_LASTS = timedelta(days=90)
SEEN_EVERY = timedelta(minutes=15)

CODE_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Nothing that reads like something else: no 0 and O, no 1, I and L."""
CODE_LENGTH = 8


@dataclass(frozen=True)
class SignIn:
    """A sign-in just made, told once: the link's token, the code to type, and when both stop working."""

    token: str
    code: str
    expires_at: datetime


@dataclass(frozen=True)
class LetIn:
    """A phone just let in; its session carries `key`, of which only the hash is stored."""

    user: User
    device: Device
    key: str


def make_sign_in(*, person: Person, by: User, now: datetime) -> SignIn:
    """A one-time link and code for `person`'s phone; any earlier one stops working."""
    require_office(by, person)
    if not person.is_active:
        raise Refused(f"{person} has left. Mark them as working here first.")
    sign_in = SignIn(secrets.token_urlsafe(32), _random_code(), now + SIGN_IN_LASTS)
    with transaction.atomic():
        _find_or_add_user(person)
        person.sign_in_codes.all().delete()
        SignInCode.objects.create(
            firm_id=person.firm_id, person=person, made_by=by, made_at=now, expires_at=sign_in.expires_at,
            token_hash=_hash("link", sign_in.token), code_hash=_hash("code", sign_in.code),
        )
    return sign_in


def let_in_by_link(*, token: str, device_name: str, now: datetime) -> LetIn:
    return _let_in(SignInCode.objects.filter(token_hash=_hash("link", token)), device_name, now)


def let_in_by_code(*, code: str, device_name: str, now: datetime) -> LetIn:
    """`code` as typed: small letters, spaces and hyphens do not matter."""
    plain = "".join(letter for letter in code.upper() if letter.isalnum())
    return _let_in(SignInCode.objects.filter(code_hash=_hash("code", plain)), device_name, now)


def is_let_in(*, key: str, now: datetime) -> bool:
    """Whether the phone whose session carries `key` may still come in; notes now and then that it was seen."""
    device = Device.objects.filter(may_come_in(now), session_key_hash=_hash("device", key)).first()
    if device and now - device.last_seen_at >= SEEN_EVERY:
        with suppress(OperationalError):  # a database that is busy is no reason to keep a phone out
            Device.objects.filter(pk=device.pk).update(last_seen_at=now)
    return device is not None


def revoke_device(*, device: Device, by: User, now: datetime) -> None:
    """The phone is signed out with its next request."""
    require_office(by, device)
    Device.objects.filter(pk=device.pk, revoked_at=None).update(revoked_at=now)


def sign_out_device(*, key: str, now: datetime) -> None:
    """Its own person signs the phone out."""
    Device.objects.filter(session_key_hash=_hash("device", key), revoked_at=None).update(revoked_at=now)


def _let_in(codes: models.QuerySet[SignInCode], device_name: str, now: datetime) -> LetIn:
    with transaction.atomic():
        if not codes.filter(used_at=None, expires_at__gt=now, person__is_active=True).update(used_at=now):
            raise Refused("That link or code was used already or is too old. Ask the office for a new one.")
        user = User.objects.get(person__sign_in_codes__in=codes)
        key = secrets.token_urlsafe(32)
        device = Device.objects.create(
            firm_id=user.firm_id, user=user, name=device_name[:120], session_key_hash=_hash("device", key),
            made_at=now, last_seen_at=now, expires_at=now + DEVICE_LASTS,
        )
    return LetIn(user, device, key)


def _find_or_add_user(person: Person) -> User:
    user = User.objects.filter(person=person).first()
    if user is None:
        user = User(username=f"person-{person.pk}", firm_id=person.firm_id, role=Role.CREW, person=person)
        user.set_unusable_password()
        user.save()
    return user


def _random_code() -> str:
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


def _hash(purpose: str, secret: str) -> str:
    return salted_hmac(f"jobs.devices.{purpose}", secret, algorithm="sha256").hexdigest()

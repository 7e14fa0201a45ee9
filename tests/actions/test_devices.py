from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.devices import (
    CODE_LETTERS,
    DEVICE_LASTS,
    is_let_in,
    let_in_by_code,
    let_in_by_link,
    make_sign_in,
    revoke_device,
    sign_out_device,
)
from jobs.actions.permission import Refused
from jobs.models import Device, SignInCode, User
from tests.factories import NOW, make_crew_user, make_firm, make_office, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(firm):
    return make_person(firm, "Priya")


@pytest.fixture
def sign_in(person, office):
    return make_sign_in(person=person, by=office, now=NOW)


def test_person_gets_a_user_without_a_password_when_first_signed_in(sign_in, person):
    user = User.objects.get(person=person)

    assert user.is_crew
    assert not user.has_usable_password()


def test_only_hashes_are_kept_when_a_sign_in_is_made(sign_in):
    row = SignInCode.objects.get()

    assert sign_in.token not in (row.token_hash, row.code_hash)
    assert sign_in.code not in (row.token_hash, row.code_hash)


def test_code_has_eight_letters_that_cannot_be_misread(sign_in):
    assert len(sign_in.code) == 8
    assert set(sign_in.code) <= set(CODE_LETTERS)
    assert not set("01OIL") & set(CODE_LETTERS)


def test_token_carries_at_least_128_bits(sign_in):
    # OWASP ASVS 5.0, 11.5.1: at least 128 bits; base64url carries 6 bits a letter.
    assert len(sign_in.token) * 6 >= 128


def test_phone_is_let_in_for_90_days_when_the_link_is_used(sign_in, person):
    let_in = let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)

    assert let_in.user.person == person
    assert let_in.device.expires_at == NOW + DEVICE_LASTS
    assert is_let_in(key=let_in.key, now=NOW)


def test_phone_is_let_in_when_the_code_is_typed_with_small_letters_and_gaps(sign_in, person):
    typed = f" {sign_in.code[:4].lower()}-{sign_in.code[4:].lower()} "

    assert let_in_by_code(code=typed, device_name="Phone", now=NOW).user.person == person


def test_code_is_refused_when_its_link_was_used(sign_in):
    let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)

    with pytest.raises(Refused, match="used already"):
        let_in_by_code(code=sign_in.code, device_name="Phone", now=NOW)


def test_link_is_refused_when_ten_minutes_are_over(sign_in):
    with pytest.raises(Refused, match="too old"):
        let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW + timedelta(minutes=10))


def test_link_is_refused_when_a_newer_one_was_made(sign_in, person, office):
    make_sign_in(person=person, by=office, now=NOW)

    with pytest.raises(Refused):
        let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)


def test_no_sign_in_is_made_when_the_person_has_left(firm, office):
    with pytest.raises(Refused, match="has left"):
        make_sign_in(person=make_person(firm, is_active=False), by=office, now=NOW)


def test_crew_cannot_make_a_sign_in(person):
    with pytest.raises(PermissionDenied):
        make_sign_in(person=person, by=make_crew_user(person), now=NOW)


def test_office_cannot_make_a_sign_in_when_the_person_is_of_another_firm(person):
    with pytest.raises(PermissionDenied):
        make_sign_in(person=person, by=make_office(make_firm("Other")), now=NOW)


def test_existing_user_is_kept_when_a_second_phone_signs_in(sign_in, person, office):
    again = make_sign_in(person=person, by=office, now=NOW)
    let_in_by_code(code=again.code, device_name="Second phone", now=NOW)

    assert User.objects.filter(person=person).count() == 1


def test_phone_stays_out_when_the_office_revokes_it(sign_in, office):
    let_in = let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)

    revoke_device(device=let_in.device, by=office, now=NOW)

    assert not is_let_in(key=let_in.key, now=NOW)


def test_phone_stays_out_when_it_signed_itself_out(sign_in):
    let_in = let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)

    sign_out_device(key=let_in.key, now=NOW)

    assert not is_let_in(key=let_in.key, now=NOW)


def test_phone_stays_out_when_90_days_are_over(sign_in):
    let_in = let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)

    assert not is_let_in(key=let_in.key, now=NOW + DEVICE_LASTS)


def test_last_seen_moves_when_a_quarter_of_an_hour_has_passed(sign_in):
    let_in = let_in_by_link(token=sign_in.token, device_name="Phone", now=NOW)
    later = NOW + timedelta(minutes=16)

    is_let_in(key=let_in.key, now=later)

    assert Device.objects.get().last_seen_at == later

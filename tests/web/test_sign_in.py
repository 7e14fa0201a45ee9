from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.actions.devices import make_sign_in, revoke_device
from jobs.models import Device
from tests.factories import PASSWORD, make_crew_user, make_office, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(firm):
    return make_office(firm, "olwen")


@pytest.fixture
def person(firm):
    return make_person(firm, "Priya")


@pytest.fixture
def phone_sign_in(office, person):
    return make_sign_in(person=person, by=office, now=timezone.now())


def sign_in(client: Client, password: str = PASSWORD, **more: str):
    return client.post(reverse("sign_in"), {"username": "olwen", "password": password} | more)


def test_office_is_let_in_when_the_password_is_right(client, office):
    response = sign_in(client)

    assert response.url == reverse("week")
    assert client.session["_auth_user_id"] == str(office.pk)


def test_office_goes_on_to_the_page_asked_for(client, office):
    assert sign_in(client, next="/stores/").url == "/stores/"


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"])
def test_next_page_is_ignored_when_it_is_elsewhere(client, office, elsewhere):
    assert sign_in(client, next=elsewhere).url == reverse("week")


def test_session_key_is_new_when_somebody_signs_in(client, office):
    client.get(reverse("sign_in"))
    client.session.save()
    before = client.session.session_key

    sign_in(client)

    assert client.session.session_key != before


def test_same_words_are_shown_when_name_or_password_is_wrong(client, office):
    wrong_password = sign_in(client, "wrong").content.decode()
    unknown_name = client.post(reverse("sign_in"), {"username": "nobody", "password": "wrong"}).content.decode()

    assert "do not belong together" in wrong_password
    assert "do not belong together" in unknown_name


def test_crew_are_refused_when_they_try_a_password(client, person):
    user = make_crew_user(person)
    user.set_password(PASSWORD)
    user.save()

    response = client.post(reverse("sign_in"), {"username": user.username, "password": PASSWORD})

    assert response.status_code == 422


def test_sign_in_is_locked_with_a_sentence_after_five_failures(client, office):
    # OWASP ASVS 5.0, 6.3.1: brute force is held up.
    for _ in range(5):
        response = sign_in(client, "wrong")

    assert response.status_code == 429
    assert "Wait 15 minutes" in response.content.decode()
    assert sign_in(client).status_code == 429


def test_lock_is_not_dodged_when_forwarded_addresses_are_made_up(client, office):
    # OWASP ASVS 5.0, 4.1.3: a header that users can set does not change a throttle.
    for number in range(6):
        response = client.post(
            reverse("sign_in"), {"username": "olwen", "password": "wrong"}, HTTP_X_FORWARDED_FOR=f"192.0.2.{number}"
        )

    assert response.status_code == 429


def test_phone_is_let_in_when_the_code_is_right(client, phone_sign_in, person):
    response = client.post(reverse("sign_in_with_code"), {"code": phone_sign_in.code})

    assert response.url == reverse("today")
    assert Device.objects.get().user.person == person


def test_phone_session_lasts_90_days(client, phone_sign_in):
    client.post(reverse("sign_in_with_code"), {"code": phone_sign_in.code})

    assert client.session.get_expiry_age() == pytest.approx(timedelta(days=90).total_seconds(), abs=60)


def test_code_is_refused_when_it_is_wrong(client, phone_sign_in):
    response = client.post(reverse("sign_in_with_code"), {"code": "AAAA AAAA"})

    assert response.status_code == 422
    assert "Ask the office" in response.content.decode()


def test_right_code_is_refused_after_five_guesses(client, phone_sign_in):
    for _ in range(5):
        client.post(reverse("sign_in_with_code"), {"code": "AAAA AAAA"})

    response = client.post(reverse("sign_in_with_code"), {"code": phone_sign_in.code})

    assert "Wait 15 minutes" in response.content.decode()
    assert not Device.objects.exists()


def test_link_page_changes_nothing_when_it_is_only_opened(client, phone_sign_in):
    assert client.get(reverse("sign_in_link")).status_code == 200
    assert not Device.objects.exists()


def test_phone_is_let_in_when_the_link_is_pressed(client, phone_sign_in):
    response = client.post(reverse("sign_in_link"), {"token": phone_sign_in.token})

    assert response.url == reverse("today")
    assert Device.objects.exists()


def test_link_is_refused_when_it_was_used(client, phone_sign_in):
    client.post(reverse("sign_in_link"), {"token": phone_sign_in.token})

    response = Client().post(reverse("sign_in_link"), {"token": phone_sign_in.token})

    assert response.status_code == 422
    assert "used already" in response.content.decode()


def test_link_is_refused_when_the_token_is_missing(client):
    assert client.post(reverse("sign_in_link"), {"token": ""}).status_code == 422


def test_phone_is_signed_out_with_its_next_request_when_revoked(client, phone_sign_in, office):
    # OWASP ASVS 5.0, 6.5.6 and 7.4.5: a lost phone can be let out from the office.
    client.post(reverse("sign_in_with_code"), {"code": phone_sign_in.code})
    revoke_device(device=Device.objects.get(), by=office, now=timezone.now())

    client.get(reverse("sign_in"))

    assert "_auth_user_id" not in client.session


def test_phone_does_not_open_the_office_when_its_person_works_there(client, firm, office, person):
    office.person = person
    office.save()
    sign_in_code = make_sign_in(person=person, by=office, now=timezone.now())
    client.post(reverse("sign_in_with_code"), {"code": sign_in_code.code})

    assert client.get(reverse("crew")).url == reverse("today")


def test_device_is_revoked_when_the_phone_signs_out(client, phone_sign_in):
    client.post(reverse("sign_in_with_code"), {"code": phone_sign_in.code})

    response = client.post(reverse("sign_out"))

    assert response.url == reverse("sign_in")
    assert Device.objects.get().revoked_at


def test_nothing_happens_when_sign_out_is_only_opened(client):
    assert client.get(reverse("sign_out")).status_code == 405


def test_other_browsers_are_signed_out_when_the_password_changes(client, office):
    other = Client()
    sign_in(other)
    sign_in(client)
    new = "second-fix-on-thursday"

    client.post(reverse("password"), {"old_password": PASSWORD, "new_password1": new, "new_password2": new})

    assert client.get(reverse("password")).status_code == 200
    assert other.get(reverse("password")).status_code == 302


@pytest.mark.parametrize("weak", ["short", "password1234", "1234567890123"])
def test_new_password_is_refused_when_it_is_weak(client, office, weak):
    # OWASP ASVS 5.0, 6.2.1 and 6.2.4: length and a list of common passwords.
    sign_in(client)

    response = client.post(reverse("password"), {"old_password": PASSWORD, "new_password1": weak, "new_password2": weak})

    assert response.status_code == 422


def test_new_password_may_be_long(client, office):
    # OWASP ASVS 5.0, 6.2.9: at least 64 letters are allowed.
    sign_in(client)
    long = "brown blue bare copper " * 4

    client.post(reverse("password"), {"old_password": PASSWORD, "new_password1": long, "new_password2": long})

    office.refresh_from_db()
    assert office.check_password(long)

import hashlib
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.actions.links import ensure_trade_links, make_link, note_opened, revoke_link, rotate_link
from jobs.actions.permission import Refused
from jobs.models import SecretLink
from jobs.queries.links import address_path, find_link, token_of
from tests.factories import NOW, make_contact, make_crew_user, make_firm, make_job, make_office, make_person

pytestmark = pytest.mark.django_db

Purpose = SecretLink.Purpose
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def office():
    return make_office(make_firm())


@pytest.fixture
def asha(office):
    return make_person(office.firm, "Asha")


def make(office, asha) -> tuple[SecretLink, str]:
    return make_link(purpose=Purpose.PERSON_FEED, person=asha, by=office, now=NOW)


def test_token_opens_the_link_when_made(office, asha):
    link, token = make(office, asha)
    assert find_link(token, Purpose.PERSON_FEED, now=NOW) == link


def test_only_the_hash_is_stored_when_a_link_is_made(office, asha):
    link, token = make(office, asha)
    assert link.token_hash == hashlib.sha256(token.encode()).hexdigest()


def test_token_has_256_bits_when_made(office, asha):
    _, token = make(office, asha)
    assert len(token) == 43


def test_address_can_be_shown_again_when_the_row_is_loaded_anew(office, asha):
    _, token = make(office, asha)
    assert address_path(SecretLink.objects.get()) == f"/calendar/{token}.ics"


def test_same_link_is_given_when_it_is_made_twice(office, asha):
    assert make(office, asha) == make(office, asha)


def test_old_token_opens_nothing_when_the_link_is_renewed(office, asha):
    link, old = make(office, asha)
    _, new = rotate_link(link=link, by=office, now=LATER)
    assert find_link(old, Purpose.PERSON_FEED, now=LATER) is None
    assert find_link(new, Purpose.PERSON_FEED, now=LATER) == link


def test_token_opens_nothing_when_the_link_is_switched_off(office, asha):
    link, token = make(office, asha)
    revoke_link(link=link, by=office, now=LATER)
    assert find_link(token, Purpose.PERSON_FEED, now=LATER) is None


def test_new_token_is_made_when_a_link_is_switched_on_again(office, asha):
    link, old = make(office, asha)
    revoke_link(link=link, by=office, now=LATER)
    _, new = make_link(purpose=Purpose.PERSON_FEED, person=asha, by=office, now=LATER)
    assert new != old
    assert find_link(old, Purpose.PERSON_FEED, now=LATER) is None


def test_switched_off_link_is_not_renewed_when_asked(office, asha):
    link, _ = make(office, asha)
    revoke_link(link=link, by=office, now=NOW)
    with pytest.raises(Refused):
        rotate_link(link=link, by=office, now=LATER)


def test_token_opens_nothing_when_it_has_expired(office, asha):
    link, token = make(office, asha)
    SecretLink.objects.update(expires_at=LATER)
    assert find_link(token, Purpose.PERSON_FEED, now=NOW) == link
    assert find_link(token, Purpose.PERSON_FEED, now=LATER) is None


def test_token_opens_nothing_else_when_its_purpose_differs(office, asha):
    _, token = make(office, asha)
    assert find_link(token, Purpose.TRADE_PAGE, Purpose.JOB_FEED, now=NOW) is None


def test_token_still_shows_when_the_secret_key_was_changed_properly(office, asha, settings):
    link, token = make(office, asha)
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another-key"
    assert token_of(link) == token


def test_newest_key_makes_the_token_when_a_link_is_renewed(office, asha, settings):
    link, _ = make(office, asha)
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another-key"
    link, token = rotate_link(link=link, by=office, now=LATER)
    settings.SECRET_KEY_FALLBACKS = []
    assert token_of(link) == token


def test_other_firm_is_refused_when_it_makes_renews_or_revokes(office, asha):
    link, _ = make(office, asha)
    stranger = make_office(make_firm("Other"))
    for act in (
        lambda: make(stranger, asha),
        lambda: rotate_link(link=link, by=stranger, now=LATER),
        lambda: revoke_link(link=link, by=stranger, now=LATER),
    ):
        with pytest.raises(PermissionDenied):
            act()


def test_crew_are_refused_when_they_make_a_link(office, asha):
    with pytest.raises(PermissionDenied):
        make(make_crew_user(asha), asha)


def test_opening_is_noted_to_within_minutes_when_a_link_is_used(office, asha):
    link, _ = make(office, asha)
    note_opened(link=link, now=NOW)
    link.refresh_from_db()
    note_opened(link=link, now=NOW + timedelta(minutes=1))
    link.refresh_from_db()
    assert link.last_used_at == NOW


def test_trade_gets_page_and_calendar_when_first_told(office):
    pat = make_contact(office.firm)
    ensure_trade_links(contacts=[pat], now=NOW)
    assert set(pat.links.values_list("purpose", flat=True)) == {Purpose.TRADE_PAGE, Purpose.TRADE_FEED}


def test_switched_off_page_stays_off_when_its_trade_is_told_again(office):
    pat = make_contact(office.firm)
    link, token = make_link(purpose=Purpose.TRADE_PAGE, contact=pat, by=office, now=NOW)
    revoke_link(link=link, by=office, now=NOW)
    ensure_trade_links(contacts=[pat], now=LATER)
    assert find_link(token, Purpose.TRADE_PAGE, now=LATER) is None


def test_every_purpose_has_its_address_when_made(office, asha):
    job = make_job(office.firm)
    link, token = make_link(purpose=Purpose.JOB_FEED, job=job, by=office, now=NOW)
    assert address_path(link) == f"/calendar/{token}.ics"
    link, token = make_link(purpose=Purpose.TRADE_PAGE, contact=make_contact(office.firm), by=office, now=NOW)
    assert address_path(link) == f"/t/{token}/"

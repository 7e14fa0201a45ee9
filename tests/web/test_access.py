"""Every route, asked by everyone: a route that is missing from the table fails."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from jobs.actions.links import make_link, revoke_link
from jobs.models import Contact, Firm, Job, Person, SecretLink
from jobs.queries.links import token_of
from tests.factories import make_crew_user, make_firm, make_office, make_person
from tests.rows import Rows
from tests.web.access_table import BEHIND, FIRM, LINK, OFFICE, OPEN, PHONE, QUESTIONS, Named

pytestmark = [pytest.mark.django_db, pytest.mark.once]

SUBJECTS = {
    "trade": ("contact", Contact), "job": ("job", Job), "person": ("person", Person), "customer": ("job", Job),
    "firm": ("firm", Firm),
}
"""What a link is about, by the first word of its purpose."""
WITH_ROWS = {name: named for name, named in (OFFICE | FIRM).items() if any(not isinstance(one, str) for one in named)}


@pytest.fixture
def rows(settings: object, tmp_path: object) -> Rows:
    settings.MEDIA_ROOT = settings.BACKUP_DIR = tmp_path
    return Rows(make_firm())


def signed_in(user: object) -> Client:
    client = Client()
    client.force_login(user)
    return client


def address(rows: Rows, name: str) -> str:
    """The route's address with rows of its own firm in it."""
    path = reverse(name, args=[argument(rows, named) for named in (OFFICE | FIRM)[name]])
    return path + (QUESTIONS[name](rows) if name in QUESTIONS else "")


def argument(rows: Rows, named: Named) -> str | int:
    if isinstance(named, str):
        return named
    found = rows[named] if isinstance(named, type) else named(rows)
    return found if isinstance(found, str) else found.pk


def ask(client: Client, path: str) -> HttpResponse:
    """As a page is read; where that is not allowed, as an empty form is sent."""
    answer = client.get(path)
    return client.post(path) if answer.status_code == 405 else answer


def routes(found: URLResolver = None) -> Iterator[str]:
    for pattern in (found or get_resolver()).url_patterns:
        if isinstance(pattern, URLPattern):
            yield pattern.name
        else:
            yield from routes(pattern)


def test_every_route_is_in_the_table_when_there_is_a_new_one() -> None:
    assert set(routes()) == {*OFFICE, *FIRM, *LINK, *OPEN}


@pytest.mark.parametrize("name", OFFICE)
def test_office_page_opens_to_its_own_office_alone_when_everyone_asks(rows: Rows, name: str) -> None:
    path, crew = address(rows, name), signed_in(make_crew_user(make_person(rows.firm)))
    assert ask(Client(), path)["Location"].startswith(reverse("sign_in"))
    assert (crew.get(path).status_code, crew.post(path).status_code) == (302, 403)
    own = ask(signed_in(make_office(rows.firm)), path)
    assert own.status_code in {200, 302, 303, 409, 422}
    assert not own.get("Location", "").startswith(reverse("sign_in"))


@pytest.mark.parametrize("name", FIRM)
def test_site_page_opens_to_the_whole_firm_alone_when_everyone_asks(rows: Rows, name: str) -> None:
    path, stranger = address(rows, name), ask(Client(), address(rows, name))
    for user in (make_crew_user(rows[Person]), make_office(rows.firm)):
        assert ask(signed_in(user), path).status_code in {200, 302, 303, 409, 413, 422}
    if name in PHONE:
        assert stranger.status_code == 401
    else:
        assert stranger["Location"].startswith(reverse("sign_in"))


@pytest.mark.parametrize("name", WITH_ROWS)
def test_nothing_is_found_when_another_firm_asks(rows: Rows, name: str) -> None:
    path, other = address(rows, name), make_firm("Another firm")
    assert ask(signed_in(make_office(other)), path).status_code == 404
    if name in FIRM:
        assert ask(signed_in(make_crew_user(make_person(other))), path).status_code == 404


def link_for(rows: Rows, purpose: str) -> SecretLink:
    field, model = SUBJECTS[purpose.split("_")[0]]
    return make_link(purpose=purpose, by=make_office(rows.firm), now=timezone.now(), **{field: rows[model]})[0]


def address_of(rows: Rows, name: str, link: SecretLink) -> str:
    for model in BEHIND.get(name, ()):
        rows[model]
    return reverse(name, args=[token_of(link), *(rows[model].pk for model in LINK[name][1])])


@pytest.mark.parametrize("name", LINK)
def test_link_opens_what_it_was_made_for_alone_when_it_is_live(rows: Rows, name: str) -> None:
    for purpose in SecretLink.Purpose.values:
        path = address_of(rows, name, link_for(rows, purpose))
        assert (ask(Client(), path).status_code == 404) == (purpose not in LINK[name][0])


@pytest.mark.parametrize("name", LINK)
def test_link_opens_nothing_when_it_is_revoked_or_too_old(rows: Rows, name: str) -> None:
    link, now = link_for(rows, min(LINK[name][0])), timezone.now()
    path = address_of(rows, name, link)
    SecretLink.objects.update(expires_at=now - timedelta(seconds=1))
    assert ask(Client(), path).status_code == 404
    SecretLink.objects.update(expires_at=None)
    revoke_link(link=link, by=make_office(rows.firm), now=now)
    assert ask(Client(), path).status_code == 404


@pytest.mark.parametrize("name", sorted(OPEN))
def test_open_page_asks_nobody_who_they_are_when_a_stranger_comes(name: str) -> None:
    assert ask(Client(), reverse(name)).status_code in {200, 302, 409, 422}

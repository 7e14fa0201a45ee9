"""A page whose code forgot its firm shows no other firm's rows all the same, where the database can hold that."""

from collections.abc import Callable, Iterator

import pytest
from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from jobs.models import Job, User, Visit
from jobs.web.views import jobs as job_views
from jobs.web.views import outside as outside_views
from rewire.named_firm import named_firm
from tests.factories import PASSWORD, make_firm, make_office
from tests.told import make_told

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
NAMES_ITS_FIRM = {"office_only", "firm_only", "signed_in", "hidden"}
"""What a view is wrapped in so that its firm is named."""
FOR_ALL_FIRMS = {
    "sign_in", "sign_in_with_code", "sign_in_link", "sign_out", "choose_password", "manifest", "worker", "offline", "robots",
}
"""Views before anybody is known, or which show nothing of a firm."""


def routes(resolver: URLResolver) -> Iterator[URLPattern]:
    for entry in resolver.url_patterns:
        yield from routes(entry) if isinstance(entry, URLResolver) else [entry]


def wrappings(view: Callable) -> Iterator[str]:
    while view is not None:
        yield view.__code__.co_qualname.split(".")[0]
        view = getattr(view, "__wrapped__", None)


def test_every_route_names_its_firm_when_it_is_no_other_kind() -> None:
    unnamed = {route.name for route in routes(get_resolver()) if not NAMES_ITS_FIRM & set(wrappings(route.callback))}
    assert unnamed == FOR_ALL_FIRMS


@pytest.fixture
def office(client: Client, mine: Job) -> Client:
    client.force_login(make_office(mine.firm))
    return client


def test_list_shows_own_jobs_alone_when_its_query_forgot_the_firm(
    office: Client, mine: Job, theirs: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = []
    monkeypatch.setattr(job_views, "list_job_cards", lambda *_, **__: shown.extend(Job.objects.all()) or [])
    assert office.get(reverse("job_list")).status_code == 200
    assert shown == [mine]


def test_page_is_not_found_when_its_lookup_forgot_the_firm(
    office: Client, mine: Job, theirs: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job_views, "get_job_or_404", lambda request, pk: get_object_or_404(Job, pk=pk))
    assert office.get(reverse("edit_job", args=[theirs.pk])).status_code == 404
    assert office.get(reverse("edit_job", args=[mine.pk])).status_code == 200


def test_nothing_changes_when_a_form_is_sent_for_another_firms_job_and_the_lookup_forgot_the_firm(
    office: Client, theirs: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The lookup trusts the number it is sent; the action asks the database."""
    monkeypatch.setattr(job_views, "get_job_or_404", lambda request, pk: Job(pk=pk, firm_id=request.user.firm_id))
    monkeypatch.setattr(job_views.actions, "move_job", lambda job, **_: Job.objects.filter(pk=job.pk).update(name="Taken") or job)
    assert office.post(reverse("move_job", args=[theirs.pk])).status_code == 302
    theirs.refresh_from_db()
    assert theirs.name == "Theirs"


def test_link_opens_rows_of_its_firm_alone_when_its_query_forgot_the_firm(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    told, seen = make_told(), []
    make_told(make_firm("Another firm"), name="Robin")
    monkeypatch.setattr(outside_views, "load_trade_dates", lambda *_: seen.extend(Visit.objects.all()) or [])
    assert client.get(told.path).status_code == 200
    assert seen == [told.visit]


def test_firm_is_forgotten_when_a_page_fails(office: Client, theirs: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(request: HttpRequest, pk: int) -> Job:
        raise ZeroDivisionError(named_firm())

    monkeypatch.setattr(job_views, "get_job_or_404", fail)
    with pytest.raises(ZeroDivisionError, match=r"\d"):
        office.get(reverse("edit_job", args=[theirs.pk]))
    assert (named_firm(), Job.objects.count()) == (None, 2)


def test_next_request_sees_its_own_firm_when_another_firms_came_before(office: Client, mine: Job, theirs: Job) -> None:
    other = Client()
    other.force_login(make_office(theirs.firm))
    for client, own, foreign in ((office, "Mine", "Theirs"), (other, "Theirs", "Mine"), (office, "Mine", "Theirs")):
        page = client.get(reverse("job_list")).content.decode()
        assert (own in page, foreign in page) == (True, False)


def test_somebody_of_another_firm_signs_in_when_a_browser_is_signed_in(office: Client, theirs: Job) -> None:
    them = make_office(theirs.firm)
    office.post(reverse("sign_in"), {"username": them.username, "password": PASSWORD})
    assert "Theirs" in office.get(reverse("job_list")).content.decode()


def test_link_opens_when_the_browser_is_signed_in_to_another_firm(office: Client) -> None:
    told = make_told(make_firm("Another firm"))
    assert office.get(told.path).status_code == 200


def test_name_is_taken_when_somebody_of_another_firm_signs_in_with_it(office: Client, theirs: Job) -> None:
    them = make_office(theirs.firm)
    answer = office.post(reverse("add_colleague"), {"name": "Ida Ash", "username": them.username.upper()})
    assert (answer.status_code, "is taken" in answer.content.decode()) == (422, True)
    assert User.objects.filter(username__iexact=them.username).count() == 1
